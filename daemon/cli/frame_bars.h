// Frames as upright bars, coloured and as tall as the light they record.
#pragma once

#include <array>
#include <string>

#include "lib/exposure/exposure.h"
#include "lib/timeline/timeline.h"

namespace noonfall::cli {

/// From the least to the most light of any frame of the plan, in stops over an exposure of 1 s at f/1 and ISO
/// 100.
struct LightRange {
  double least = 0;
  double most = 0;
  /// Where an exposure lies between them, 0 to 1.
  [[nodiscard]] double share(const exposure::Exposure& exposure) const;
};
[[nodiscard]] LightRange light_range(const timeline::Timeline& timeline);

/// The frames of a lane, gathered by colour: many a frame falls on another's place.
class FrameBars {
 public:
  static constexpr std::size_t colours = 32;
  static constexpr double tallest = 50;
  [[nodiscard]] static std::string colour(std::size_t n);

  void add(double x, double width, double share, double bottom);
  /// The tallest first, so that none hides another.
  [[nodiscard]] std::string svg() const;

 private:
  std::array<std::string, colours> paths_;
  std::array<double, colours> free_from_{};
};

}  // namespace noonfall::cli
