// Pictures of the light itself: TIFF 6.0, three samples a pixel, uncompressed.
#pragma once

#include <cstdint>
#include <span>
#include <string>

#include "lib/base/result.h"

namespace noonfall::pictures {

/// 16-bit integers. A file that exists is refused.
[[nodiscard]] Result<void> write_tiff(const std::string& path, std::span<const std::uint16_t> rgb, int width,
                                      int height);
/// 32-bit IEEE numbers.
[[nodiscard]] Result<void> write_tiff(const std::string& path, std::span<const float> rgb, int width,
                                      int height);

}  // namespace noonfall::pictures
