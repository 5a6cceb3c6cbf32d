// The drawing of curves over an axis, and of labels that don't cover each other, as pieces of SVG.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace noonfall::cli {

/// Where a diagram lies on the sheet, pixels.
struct Frame {
  double left, top, width, height;
};

struct CurvePoint {
  double x, y;
};
using Curve = std::vector<CurvePoint>;

/// A frame and what its sides stand for: degrees across, arcseconds up.
struct Axes {
  Frame frame;
  double from, to;
  double low, high;

  [[nodiscard]] double x(double degrees) const {
    return frame.left + (degrees - from) / (to - from) * frame.width;
  }
  [[nodiscard]] double y(double arcsec) const {
    return frame.top + (high - arcsec) / (high - low) * frame.height;
  }
  [[nodiscard]] bool has(double degrees) const { return degrees >= from && degrees <= to; }
};

/// `words` as text of SVG or HTML: no markup, nothing that hides.
[[nodiscard]] std::string escaped(std::string_view words);
[[nodiscard]] std::string svg_begin(int width, int height);
/// `anchor` is start, middle or end.
[[nodiscard]] std::string svg_text(double x, double y, int size, std::string_view anchor,
                                   std::string_view colour, std::string_view words);
/// Frame, grid lines every `degrees` and every arcsecond, their numbers, and a heading above.
[[nodiscard]] std::string svg_grid(const Axes& axes, double degrees, std::string_view heading);
/// Everything below the curve; nothing beyond the frame.
[[nodiscard]] std::string svg_area(const Axes& axes, const Curve& curve, std::string_view colour);
/// `dashes` as stroke-dasharray has it; empty for none. What leaves the frame isn't drawn.
[[nodiscard]] std::string svg_line(const Axes& axes, const Curve& curve, std::string_view colour,
                                   std::string_view dashes);
/// A dashed upright with its name inside the frame, in one of the rows under its top.
[[nodiscard]] std::string svg_upright(const Axes& axes, double degrees, std::string_view colour,
                                      std::string_view name, int row = 0);
/// White with a dark rim: for dark and light ground.
[[nodiscard]] std::string svg_label(double x, double y, std::string_view words);
[[nodiscard]] std::string svg_dot(const Axes& axes, const CurvePoint& at, std::string_view colour);

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
