#include "sim/wire/camera_codes.h"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "lib/exposure/scale.h"

namespace noonfall::wire {
namespace {

std::uint32_t in_eighths(int base, Stops apex) {
  constexpr int eighths_of_thirds[] = {0, 3, 5};
  const auto thirds = static_cast<int>(std::lround(apex.value * 3));
  const int whole = thirds >= 0 ? thirds / 3 : -((2 - thirds) / 3);
  return static_cast<std::uint32_t>(base + 8 * whole + eighths_of_thirds[thirds - 3 * whole]);
}

}  // namespace

std::uint32_t tenths_of_ms(exposure::Shutter shutter) {
  const auto tenths = std::lround(exposure::nominal_seconds(shutter) * 1e4);
  return static_cast<std::uint32_t>(std::max(1L, tenths));
}

std::uint16_t hundredths(exposure::FNumber aperture) {
  return static_cast<std::uint16_t>(aperture.tenths * 10);
}

std::uint16_t exposure_index(exposure::Iso iso) {
  return static_cast<std::uint16_t>(std::min(iso.value, 0xFFFF));
}

std::uint32_t fraction(exposure::Shutter shutter) {
  auto [numerator, denominator] = shutter;
  if (numerator > 1 && numerator < denominator) {
    denominator = (20 * denominator + numerator) / (2 * numerator);
    numerator = 10;
  }
  return static_cast<std::uint32_t>(numerator) << 16U | static_cast<std::uint32_t>(denominator);
}

std::uint32_t fraction_of_tenths(exposure::Shutter shutter) {
  auto [numerator, denominator] = shutter;
  if (shutter == exposure::Shutter{3, 10}) {
    std::tie(numerator, denominator) = std::pair{1, 3};
  } else if (denominator != 1 && (numerator != 1 || denominator == 2)) {
    numerator = static_cast<std::int32_t>(std::lround(exposure::nominal_seconds(shutter) * 10));
    denominator = 10;
  }
  return static_cast<std::uint32_t>(numerator) << 16U | static_cast<std::uint32_t>(denominator);
}

std::uint32_t microseconds(exposure::Shutter shutter) {
  return static_cast<std::uint32_t>(exposure::exact_seconds(shutter) * 1e6 + 1e-3);
}

std::uint32_t eighths(exposure::Shutter shutter) {
  return in_eighths(0x38, exposure::time_value(shutter));
}

std::uint32_t eighths(exposure::FNumber aperture) {
  return in_eighths(0x08, exposure::aperture_value(aperture));
}

std::uint32_t eighths(exposure::Iso iso) {
  constexpr double iso_100 = 5;  // its speed value
  return in_eighths(0x48, {exposure::speed_value(iso).value - iso_100});
}

}  // namespace noonfall::wire
