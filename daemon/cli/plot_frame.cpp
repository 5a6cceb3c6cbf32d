#include "daemon/cli/plot_frame.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lib/base/plain_text.h"

namespace noonfall::cli {
namespace {

std::string straight(double x1, double y1, double x2, double y2, std::string_view style) {
  return fmt::format("<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" {}/>\n", x1, y1, x2, y2,
                     style);
}

double in_circle(double degrees) {
  return degrees - 360 * std::floor(degrees / 360);
}

constexpr double dot_radius = 6;
constexpr double gap = 4;
constexpr double farthest = 46;  // from a dot to its label's baseline
constexpr double step = 2;

}  // namespace

std::string escaped(std::string_view words) {
  std::string out;
  for (const char c : plain_line(words)) {
    if (c == '&') {
      out += "&amp;";
    } else if (c == '<') {
      out += "&lt;";
    } else if (c == '>') {
      out += "&gt;";
    } else {
      out += c;
    }
  }
  return out;
}

std::string svg_begin(int width, int height) {
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}\" height=\"{1}\" viewBox=\"0 0 {0} {1}\" "
      "font-family=\"sans-serif\">\n<rect width=\"{0}\" height=\"{1}\" fill=\"#fff\"/>\n",
      width, height);
}

std::string svg_text(double x, double y, int size, std::string_view anchor, std::string_view colour,
                     std::string_view words) {
  return fmt::format(
      "<text x=\"{:.1f}\" y=\"{:.1f}\" font-size=\"{}\" text-anchor=\"{}\" fill=\"{}\">{}</text>\n", x, y,
      size, anchor, colour, markup_text(words));
}

std::string svg_grid(const Axes& axes, double degrees, std::string_view heading) {
  const auto& frame = axes.frame;
  const double bottom = frame.top + frame.height;
  auto out = svg_text(frame.left, frame.top - 12, 15, "start", "#111", heading);
  for (double angle = std::ceil(axes.from / degrees) * degrees; angle <= axes.to; angle += degrees) {
    out += straight(axes.x(angle), frame.top, axes.x(angle), bottom, "stroke=\"#ddd\"");
    const double shown = angle == 360 ? 360 : in_circle(angle);
    out += svg_text(axes.x(angle), bottom + 20, 14, "middle", "#333", fmt::format("{:g}°", shown));
  }
  for (double arcsec = axes.low; arcsec <= axes.high; ++arcsec) {
    out += straight(frame.left, axes.y(arcsec), frame.left + frame.width, axes.y(arcsec),
                    arcsec == 0 ? "stroke=\"#888\"" : "stroke=\"#ddd\"");
    out += svg_text(frame.left - 8, axes.y(arcsec) + 5, 14, "end", "#333",
                    arcsec == 0 ? "0\"" : fmt::format("{:+g}\"", arcsec));
  }
  return out +
         fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"none\" stroke=\"#666\"/>\n",
                     frame.left, frame.top, frame.width, frame.height);
}

std::string svg_area(const Axes& axes, const Curve& curve, std::string_view colour) {
  const auto& frame = axes.frame;
  const double bottom = frame.top + frame.height;
  auto path = fmt::format("M{:.1f},{:.1f}", axes.x(curve.front().x), bottom);
  for (const auto& point : curve)
    path += fmt::format("L{:.1f},{:.1f}", axes.x(point.x), std::clamp(axes.y(point.y), frame.top, bottom));
  path += fmt::format("L{:.1f},{:.1f}Z", axes.x(curve.back().x), bottom);
  return fmt::format("<path d=\"{}\" fill=\"{}\"/>\n", path, colour);
}

std::string svg_line(const Axes& axes, const Curve& curve, std::string_view colour, std::string_view dashes) {
  std::string path;
  bool drawing = false;
  for (const auto& point : curve) {
    const bool inside = point.y >= axes.low && point.y <= axes.high;
    if (inside) path += fmt::format("{}{:.1f},{:.1f}", drawing ? "L" : "M", axes.x(point.x), axes.y(point.y));
    drawing = inside;
  }
  return fmt::format(
      "<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"2\" stroke-dasharray=\"{}\"/>\n", path,
      colour, dashes.empty() ? "none" : dashes);
}

std::string svg_upright(const Axes& axes, double degrees, std::string_view colour, std::string_view name,
                        int row) {
  const double x = axes.x(degrees);
  const double top = axes.frame.top;
  return straight(x, top, x, top + axes.frame.height,
                  fmt::format("stroke=\"{}\" stroke-dasharray=\"4 4\"", colour)) +
         fmt::format("<g stroke=\"#fff\" stroke-width=\"4\" paint-order=\"stroke\">{}</g>\n",
                     svg_text(x + 5, top + 17 + 18 * row, 15, "start", colour, name));
}

std::string svg_label(double x, double y, std::string_view words) {
  return fmt::format(
      "<text x=\"{:.1f}\" y=\"{:.1f}\" font-size=\"14\" text-anchor=\"middle\" fill=\"#fff\" "
      "stroke=\"#45454f\" stroke-width=\"4\" paint-order=\"stroke\">{}</text>\n",
      x, y, markup_text(words));
}

std::string svg_dot(const Axes& axes, const CurvePoint& at, std::string_view colour) {
  return fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"5\" fill=\"{}\" stroke=\"#fff\"/>\n",
                     axes.x(at.x), axes.y(at.y), colour);
}

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
