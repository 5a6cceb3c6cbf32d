// Where Earth, Moon and Sun are: the Chebyshev series of JPL DE405 summed up.
#pragma once

#include <array>
#include <utility>

#include "tests/elements_maker/de405_records.h"

namespace noonfall::elements_maker {

using Vector = std::array<double, 3>;

/// An instant of TT or TDB in two parts, so that microseconds survive: a whole day and hours from its 0h.
struct Epoch {
  double mjd = 0;
  double hours = 0;
  [[nodiscard]] Epoch later_by(double more_hours) const { return {mjd, hours + more_hours}; }
};

/// Kilometres and kilometres a day.
struct Motion {
  Vector place;
  Vector velocity;
};

/// Axes of the ICRF, origin the solar system's barycentre, instants of TDB.
class Ephemeris {
 public:
  explicit Ephemeris(De405Records records) : records_(std::move(records)) {}
  [[nodiscard]] Motion earth(const Epoch& tdb) const;
  [[nodiscard]] Motion moon(const Epoch& tdb) const;
  [[nodiscard]] Motion sun(const Epoch& tdb) const;
  [[nodiscard]] double au_km() const { return records_.au_km; }
  [[nodiscard]] double light_km_per_s() const { return records_.light_km_per_s; }

 private:
  /// Where a body's series stand in a record: from which coefficient on, how many for each coordinate, and
  /// into how many equal stretches the record is divided.
  struct Layout {
    std::size_t from;
    std::size_t terms;
    std::size_t stretches;
  };
  [[nodiscard]] Motion sum(const Layout& layout, const Epoch& tdb) const;
  /// The Earth-Moon barycentre plus this part of the vector from Earth to Moon.
  [[nodiscard]] Motion beside_barycentre(const Epoch& tdb, double part) const;

  De405Records records_;
};

}  // namespace noonfall::elements_maker
