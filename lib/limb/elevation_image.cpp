#include "lib/limb/elevation_image.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstring>

#include <fmt/format.h>

#include "lib/base/units.h"

namespace noonfall::limb {
namespace {

constexpr std::uint32_t cells_a_degree = 16;
constexpr double first_c_deg = 75;
constexpr double last_c_deg = 103;
constexpr double quantum_km = 0.01;
// The Moon's lowest and highest places lie 9.1 km below and 10.8 km above 1737.4 km (LOLA).
constexpr double deepest_km = -12;
constexpr double highest_km = 13;

constexpr double degree = pi / 180;

/// No finer around than the image: whoever reads the strip sees how much its heights can tell.
Strip empty_strip(const ElevationLabel& label) {
  const auto around = std::min(cells_a_degree, label.pixels_per_degree);
  const auto n_phi = 360 * around;
  constexpr auto n_c = static_cast<std::uint32_t>((last_c_deg - first_c_deg) * cells_a_degree);
  return {n_phi,
          n_c,
          1.0 / around,
          first_c_deg,
          1.0 / cells_a_degree,
          quantum_km,
          label.reference_radius_km,
          std::vector<std::int16_t>(std::size_t{n_phi} * n_c)};
}

double height_at(const ElevationImage& image, double phi_deg, double c_deg) {
  const double c = c_deg * degree;
  const double phi = phi_deg * degree;
  const double x = std::cos(c);
  const double y = -std::sin(c) * std::sin(phi);
  const double z = std::sin(c) * std::cos(phi);
  return image.height_km(std::asin(std::clamp(z, -1.0, 1.0)) / degree, std::atan2(y, x) / degree);
}

/// Of the cell that begins at phi, c.
double mean_over_cell(const ElevationImage& image, const Strip& strip, double phi_deg, double c_deg,
                      std::uint32_t points) {
  double sum = 0;
  for (std::uint32_t a = 0; a < points; ++a) {
    for (std::uint32_t b = 0; b < points; ++b)
      sum += height_at(image, phi_deg + (a + 0.5) / points * strip.phi_step_deg,
                       c_deg + (b + 0.5) / points * strip.c_step_deg);
  }
  return sum / (points * points);
}

}  // namespace

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

Result<Strip> build_strip(const ElevationLabel& label, const ElevationImage& image) {
  auto strip = empty_strip(label);
  const auto points = std::max(1U, (label.pixels_per_degree + cells_a_degree - 1) / cells_a_degree);
  for (std::uint32_t i = 0; i < strip.n_phi; ++i) {
    for (std::uint32_t j = 0; j < strip.n_c; ++j) {
      const double phi = i * strip.phi_step_deg;
      const double c = strip.c_edge_deg + j * strip.c_step_deg;
      const double height = mean_over_cell(image, strip, phi, c, points);
      if (!(height > deepest_km && height < highest_km)) {
        return fail(error_at({}, "pds-image", fmt::format("the image has a height of {:.3f} km", height),
                             fmt::format("heights on the Moon, {} to {} km; is it another file's label?",
                                         deepest_km, highest_km)));
      }
      strip.cells[std::size_t{i} * strip.n_c + j] =
          static_cast<std::int16_t>(std::lround(height / quantum_km));
    }
  }
  return strip;
}

}  // namespace noonfall::limb
