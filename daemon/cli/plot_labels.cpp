#include "daemon/cli/plot_labels.h"

#include <algorithm>
#include <cmath>

namespace noonfall::cli {
namespace {

constexpr double dot_radius = 6;
constexpr double gap = 4;
constexpr double farthest = 46;  // from a dot to its label's baseline
constexpr double step = 2;

}  // namespace

std::optional<double> Labels::room_below(const CurvePoint& dot, double edge) {
  const double first = std::max(dot.y + dot_radius, edge) + gap + height;
  for (double y = first; y <= dot.y + farthest; y += step) {
    if (!is_free({dot.x, y}) || !is_nearest(dot, {dot.x, y})) continue;
    labels_.push_back({dot.x, y});
    return y;
  }
  return std::nullopt;
}

bool Labels::is_free(const CurvePoint& label) const {
  if (label.x - half_width < frame_.left || label.x + half_width > frame_.left + frame_.width) return false;
  if (label.y + gap > frame_.top + frame_.height) return false;
  const auto covers = [&](const CurvePoint& dot) {
    return std::abs(dot.x - label.x) < half_width + dot_radius && dot.y > label.y - height - dot_radius &&
           dot.y < label.y + dot_radius;
  };
  const auto touches = [&](const CurvePoint& other) {
    const double across = std::abs(other.x - label.x);
    return across < half_width + gap ||  // one above the other: whose is which?
           (across < 2 * half_width + gap && std::abs(other.y - label.y) < height + gap);
  };
  return std::none_of(dots_.begin(), dots_.end(), covers) &&
         std::none_of(labels_.begin(), labels_.end(), touches);
}

bool Labels::is_nearest(const CurvePoint& dot, const CurvePoint& label) const {
  const double own = label.y - dot.y;
  return std::all_of(dots_.begin(), dots_.end(), [&](const CurvePoint& other) {
    return std::hypot(other.x - label.x, other.y - label.y) >= own;
  });
}

}  // namespace noonfall::cli
