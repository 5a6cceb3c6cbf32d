// The exposure values of a camera as the codes that stand for them on the line, family by family.
#pragma once

#include <cstdint>

#include "lib/exposure/exposure.h"

namespace noonfall::wire {

/// ExposureTime of ISO 15740: tenths of a millisecond, at least one, so that the shortest times share codes.
[[nodiscard]] std::uint32_t tenths_of_ms(exposure::Shutter shutter);
/// FNumber of ISO 15740: hundredths.
[[nodiscard]] std::uint16_t hundredths(exposure::FNumber aperture);
/// ExposureIndex of ISO 15740.
[[nodiscard]] std::uint16_t exposure_index(exposure::Iso iso);

/// Numerator and denominator in the upper and the lower half; parts of a second that are no 1/n as 10/n, to
/// the nearest n: 0.4 s is 10/25, 0.3 s is 10/33.
[[nodiscard]] std::uint32_t fraction(exposure::Shutter shutter);

/// The same, but whole seconds over 1, 1/3 s and shorter under 1, and tenths of a second between them: 0.4 s
/// is 4/10.
[[nodiscard]] std::uint32_t fraction_of_tenths(exposure::Shutter shutter);

/// Microseconds of what the name stands for, cut off: 1/500 is 1953.
[[nodiscard]] std::uint32_t microseconds(exposure::Shutter shutter);

/// APEX in eighths of a stop, thirds being 3 and 5 eighths: 1 s is 0x38, f/1 0x08, ISO 100 0x48.
[[nodiscard]] std::uint32_t eighths(exposure::Shutter shutter);
[[nodiscard]] std::uint32_t eighths(exposure::FNumber aperture);
[[nodiscard]] std::uint32_t eighths(exposure::Iso iso);

}  // namespace noonfall::wire
