// Where short labels of dots go in a plot, so that they cover neither dots nor each other.
#pragma once

#include <optional>
#include <vector>

#include "daemon/cli/plot_frame.h"

namespace noonfall::cli {

/// All in the picture's own units, y downwards.
class Labels {
 public:
  static constexpr double half_width = 19;
  static constexpr double height = 14;

  explicit Labels(const Frame& frame) : frame_(frame) {}

  void keep_off(const CurvePoint& dot) { dots_.push_back(dot); }

  /// The baseline of a label under `dot` and under `edge`; empty when there is no room near enough to tell
  /// whose it is. The room is taken from then on.
  [[nodiscard]] std::optional<double> room_below(const CurvePoint& dot, double edge);

 private:
  [[nodiscard]] bool is_free(const CurvePoint& label) const;
  [[nodiscard]] bool is_nearest(const CurvePoint& dot, const CurvePoint& label) const;

  Frame frame_;
  std::vector<CurvePoint> dots_;
  std::vector<CurvePoint> labels_;  // middle of the baseline
};

}  // namespace noonfall::cli
