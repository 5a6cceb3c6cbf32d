// Colours for a quantity from little to much: even steps to the eye, told apart in grey and by colour-blind
// eyes.
#pragma once

#include <array>
#include <string>

namespace noonfall::cli {

/// Lightness 0 to 1, and two axes of colour (Ottosson, "A perceptual color space for image processing",
/// 2020).
struct OkLab {
  double lightness, green_red, blue_yellow;
};

/// Linear light, 0 to 1 each; beyond when the colour is out of the screen's reach.
[[nodiscard]] std::array<double, 3> linear_rgb(const OkLab& colour);

/// From a dark blue for 0 over purple and red to a light yellow for 1: lightness and hue go evenly,
/// saturation stays, so that equal steps of `share` look equal.
[[nodiscard]] OkLab from_little_to_much(double share);

/// "#1f77b4": as sRGB (IEC 61966-2-1).
[[nodiscard]] std::string hex(const OkLab& colour);

}  // namespace noonfall::cli
