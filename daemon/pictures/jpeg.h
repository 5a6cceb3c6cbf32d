// A picture as plain JPEG.
#pragma once

#include <cstdint>
#include <span>
#include <string>

namespace noonfall::pictures {

/// Rows from the top, three bytes a pixel (sRGB).
[[nodiscard]] std::string to_jpeg(std::span<const std::uint8_t> rgb, int width, int height);

}  // namespace noonfall::pictures
