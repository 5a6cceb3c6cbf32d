#include "lib/limb/elevation_image.h"

#include <cassert>
#include <cmath>
#include <cstring>

namespace noonfall::limb {

ElevationImage::ElevationImage(const ElevationLabel& label, std::string_view bytes)
    : label_(label), bytes_(bytes) {
  assert(bytes.size() == label.image_bytes());
}

/// A line beyond a pole is the pole's own, half around.
double ElevationImage::pixel(std::int64_t line, std::int64_t sample) const {
  const std::int64_t lines = label_.lines();
  const std::int64_t samples = label_.samples();
  if (line < 0 || line >= lines) {
    line = line < 0 ? 0 : lines - 1;
    sample += samples / 2;
  }
  sample = (sample % samples + samples) % samples;
  const auto index = static_cast<std::size_t>(line * samples + sample);
  if (label_.sample == ElevationLabel::Sample::int16) {
    std::int16_t value = 0;
    std::memcpy(&value, bytes_.data() + index * sizeof value, sizeof value);
    return value * label_.km_per_unit;
  }
  float value = 0;
  std::memcpy(&value, bytes_.data() + index * sizeof value, sizeof value);
  return static_cast<double>(value) * label_.km_per_unit;
}

double ElevationImage::height_km(double latitude, double longitude) const {
  const double y = (90 - latitude) * label_.pixels_per_degree - 0.5;
  const double x = longitude * label_.pixels_per_degree - 0.5;
  const double floor_y = std::floor(y);
  const double floor_x = std::floor(x);
  const auto line = static_cast<std::int64_t>(floor_y);
  const auto sample = static_cast<std::int64_t>(floor_x);
  const double down = y - floor_y;
  const double right = x - floor_x;
  const double above = pixel(line, sample) * (1 - right) + pixel(line, sample + 1) * right;
  const double below = pixel(line + 1, sample) * (1 - right) + pixel(line + 1, sample + 1) * right;
  return above * (1 - down) + below * down;
}

}  // namespace noonfall::limb
