#include "lib/look/sun_seen.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace noonfall::look {
namespace {

constexpr double darkest_light = 0.01;  // below it, there is no Sun
constexpr std::size_t brightest = 5;    // the peak is that pixel in turn: not a hot one
constexpr double of_peak = 0.4;         // from here on a pixel counts as the Sun's
constexpr std::uint8_t full = 252;      // a JPEG's white isn't always 255

double linear(std::uint8_t value) {
  static const auto curve = [] {
    std::array<double, 256> of_value{};
    for (std::size_t n = 0; n < of_value.size(); ++n) {
      const double shown = static_cast<double>(n) / 255;
      of_value[n] = shown <= 0.04045 ? shown / 12.92 : std::pow((shown + 0.055) / 1.055, 2.4);
    }
    return of_value;
  }();
  return curve[value];
}

/// The luminance of every pixel, and what it tells.
class Field {
 public:
  explicit Field(const Thumbnail& thumbnail) : width_{thumbnail.width}, height_{thumbnail.height} {
    for (std::size_t n = 0; n + 2 < thumbnail.rgb.size(); n += 3) {
      const auto* pixel = &thumbnail.rgb[n];
      light_.push_back(0.2126 * linear(pixel[0]) + 0.7152 * linear(pixel[1]) + 0.0722 * linear(pixel[2]));
      full_.push_back(std::max({pixel[0], pixel[1], pixel[2]}) >= full);
    }
  }

  [[nodiscard]] SunSeen seen() {
    SunSeen out;
    const auto pixels =
        static_cast<std::size_t>(std::max(0, width_)) * static_cast<std::size_t>(std::max(0, height_));
    if (light_.size() != pixels || pixels < brightest) return out;
    auto sorted = light_;
    const auto nth = sorted.begin() + static_cast<std::ptrdiff_t>(brightest - 1);
    std::nth_element(sorted.begin(), nth, sorted.end(), std::greater<>{});
    peak_ = *nth;
    if (peak_ < darkest_light) return out;
    for (int row = 0; row < height_; ++row)
      for (int column = 0; column < width_; ++column) add(column, row, out);
    out.brightness /= out.pixels;
    out.clipped /= out.pixels;
    out.edge = crossings_ > 0 ? steps_ / (crossings_ * peak_) : 0;
    place(out);
    return out;
  }

 private:
  [[nodiscard]] std::size_t index(int column, int row) const {
    return static_cast<std::size_t>(row) * static_cast<std::size_t>(width_) +
           static_cast<std::size_t>(column);
  }
  [[nodiscard]] bool bright(std::size_t n) const { return light_[n] >= of_peak * peak_; }

  void add(int column, int row, SunSeen& out) {
    const auto n = index(column, row);
    if (column + 1 < width_) step(n, index(column + 1, row));
    if (row + 1 < height_) step(n, index(column, row + 1));
    if (!bright(n)) return;
    ++out.pixels;
    out.brightness += light_[n];
    out.clipped += full_[n] ? 1 : 0;
    left_ = std::min(left_, column);
    right_ = std::max(right_, column);
    top_ = std::min(top_, row);
    bottom_ = std::max(bottom_, row);
  }

  void step(std::size_t a, std::size_t b) {
    if (bright(a) == bright(b)) return;
    ++crossings_;
    steps_ += std::abs(light_[a] - light_[b]);
  }

  void place(SunSeen& out) const {
    const std::array<int, 4> rooms{left_, width_ - 1 - right_, top_, height_ - 1 - bottom_};
    const auto* nearest = std::min_element(rooms.begin(), rooms.end());
    out.side = static_cast<Side>(nearest - rooms.begin());
    out.room = static_cast<double>(*nearest) / width_;
  }

  int width_;
  int height_;
  std::vector<double> light_;
  std::vector<bool> full_;
  double peak_ = 0;
  double steps_ = 0;
  int crossings_ = 0;
  int left_ = 1 << 30;
  int right_ = -1;
  int top_ = 1 << 30;
  int bottom_ = -1;
};

}  // namespace

SunSeen see(const Thumbnail& thumbnail) {
  return Field{thumbnail}.seen();
}

}  // namespace noonfall::look
