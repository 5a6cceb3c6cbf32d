// Mean sea level over the WGS84 ellipsoid: the geoid EGM96, from the grid PROJ's data bring.
#pragma once

#include <memory>
#include <optional>

#include "lib/contacts/contact.h"

namespace noonfall::load {

/// What a height given by a person is measured from.
enum class HeightDatum { sea_level, ellipsoid };

class Geoid {
 public:
  /// Looks for `egm96_15.gtx` where PROJ looks for its data, never over a network.
  Geoid();
  ~Geoid();
  Geoid(const Geoid&) = delete;
  Geoid& operator=(const Geoid&) = delete;

  [[nodiscard]] bool has_grid() const;
  /// Height of sea level above the ellipsoid, good to about 1 m; empty without the grid.
  [[nodiscard]] std::optional<Metres> height_at(Degrees latitude, Degrees longitude) const;

 private:
  struct Grid;
  std::unique_ptr<Grid> grid_;
};

/// A site as given, and its height brought onto the ellipsoid.
struct PlacedSite {
  contacts::Site site;  // for the computation
  Metres as_given;
  HeightDatum datum = HeightDatum::ellipsoid;
  std::optional<Metres> geoid = {};  // what was added
  Metres geoid_error{0};             // sea level taken as the ellipsoid for want of a grid
};
[[nodiscard]] PlacedSite place(const contacts::Site& given, HeightDatum datum, const Geoid& geoid);

}  // namespace noonfall::load
