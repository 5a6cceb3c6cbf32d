#include "lib/exposure/framing.h"

#include <algorithm>
#include <cmath>

namespace noonfall::exposure {
namespace {

constexpr double arcseconds_per_degree = 3600;

}  // namespace

Millimetres sun_image(Millimetres focal_length, Arcseconds solar_radius) {
  return {2 * focal_length.value * std::tan(radians(Degrees{solar_radius.value / arcseconds_per_degree}))};
}

Millimetres sun_image_by_rule(Millimetres focal_length) {
  return {focal_length.value / 109};
}

Degrees field_of_view(Millimetres side, Millimetres focal_length) {
  return degrees(2 * std::atan(side.value / (2 * focal_length.value)));
}

Seconds longest_untrailed(Millimetres focal_length, Micrometres pixel, Degrees declination, double pixels) {
  const double tilt = std::cos(radians(Degrees{std::min(std::abs(declination.value), 89.0)}));
  const double pixel_rad = pixels * pixel.value / (focal_length.value * 1000);
  const double rate_rad_per_s = radians(Degrees{sidereal_rate_per_s.value / arcseconds_per_degree}) * tilt;
  return {pixel_rad / rate_rad_per_s};
}

Seconds longest_untrailed_on_film(Millimetres focal_length) {
  return {340 / focal_length.value};
}

}  // namespace noonfall::exposure
