// What a small picture shows of the filtered Sun: measured from its pixels alone.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

namespace noonfall::look {

/// sRGB, three bytes a pixel, rows from the top.
struct Thumbnail {
  int width = 0;
  int height = 0;
  std::vector<std::uint8_t> rgb;
};

/// Of the frame.
enum class Side { left, right, top, bottom };
[[nodiscard]] constexpr std::string_view to_text(Side side) {
  constexpr std::string_view words[] = {"left", "right", "upper", "lower"};
  return words[static_cast<std::size_t>(side)];
}

/// Light is linear, 1 where the picture is full (IEC 61966-2-1, as if the body had no tone curve of its own).
struct SunSeen {
  int pixels = 0;         // of the bright part; 0: all is black, and nothing below is known
  double brightness = 0;  // mean of the bright part
  double clipped = 0;     // share of it in which a colour is full
  double edge = 0;        // how steep its edge is: the mean step from pixel to pixel, of the brightest light
  double room = 0;        // from the bright part to the nearest side, in frame widths
  Side side = Side::right;  // that one
  bool operator==(const SunSeen&) const = default;

  [[nodiscard]] bool is_black() const { return pixels == 0; }
  [[nodiscard]] bool is_cut_off() const { return pixels > 0 && room == 0; }
};

/// A picture without pixels is black.
[[nodiscard]] SunSeen see(const Thumbnail& thumbnail);

}  // namespace noonfall::look
