// The day that a simulated body lives in: what its pictures show of the filtered Sun.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "lib/base/result.h"
#include "sim/sky/exposed.h"

namespace noonfall::sim {

struct Aim {
  Utc from;     // a fixed mount is left alone from then on…
  Utc centred;  // …pointed at where the Sun stands at this instant
};

struct Day {
  Date eclipse{};
  contacts::Site site;
  Duration moved{};  // a rehearsal's instants are later by so much than those of the sky
  Degrees width;     // of the field of view
  Degrees height;
  double density = 5;  // of the filter
  double magnitudes_per_airmass = exposure::clear_air_magnitudes;
  std::vector<Aim> aims = {};  // by time; none on a tracking mount
};

[[nodiscard]] std::string to_text(const Day& day);
/// Errors ("bad-day") have no place.
[[nodiscard]] Result<Day> parse_day(std::string_view text);

struct SmallPicture {
  int width = 0;
  int height = 0;
  std::vector<std::uint8_t> rgb;  // sRGB, rows from the top
};

/// As a body makes it of a frame: 160 pixels wide. The filter is always on.
class Sketcher {
 public:
  explicit Sketcher(Day day);
  [[nodiscard]] SmallPicture picture(Utc opened, Utc closed, const exposure::Exposure& exposure) const;

 private:
  Day day_;
  Scene scene_;
  Corona corona_{1};
  Imager imager_;
};

}  // namespace noonfall::sim
