#include "daemon/cli/palette.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

namespace noonfall::cli {
namespace {

constexpr double darkest = 0.30;
constexpr double lightest = 0.86;
constexpr double saturation = 0.115;  // all hues on the way have it on a screen
constexpr double first_hue_deg = 275;
constexpr double last_hue_deg = 450;

int level(double linear) {
  const double light = std::clamp(linear, 0.0, 1.0);
  const double coded = light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055;
  return static_cast<int>(std::lround(coded * 255));
}

}  // namespace

std::array<double, 3> linear_rgb(const OkLab& colour) {
  const auto [light, a, b] = colour;
  const double l = std::pow(light + 0.3963377774 * a + 0.2158037573 * b, 3);
  const double m = std::pow(light - 0.1055613458 * a - 0.0638541728 * b, 3);
  const double s = std::pow(light - 0.0894841775 * a - 1.2914855480 * b, 3);
  return {4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s,
          -1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s,
          -0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s};
}

OkLab from_little_to_much(double share) {
  const double part = std::clamp(share, 0.0, 1.0);
  const double hue = (first_hue_deg + part * (last_hue_deg - first_hue_deg)) * std::numbers::pi / 180;
  return {darkest + part * (lightest - darkest), saturation * std::cos(hue), saturation * std::sin(hue)};
}

std::string hex(const OkLab& colour) {
  const auto [red, green, blue] = linear_rgb(colour);
  return fmt::format("#{:02x}{:02x}{:02x}", level(red), level(green), level(blue));
}

}  // namespace noonfall::cli
