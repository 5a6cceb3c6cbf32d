// Shapes and labels of the report's pictures, in SVG; classes are those of the page's style.
#pragma once

#include <string>
#include <string_view>

#include <fmt/format.h>

#include "lib/base/plain_text.h"

namespace noonfall::report {

/// From `top` down.
inline std::string drawing(double width, double height, std::string_view label, std::string_view content,
                           double top = 0) {
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 {:g} {:g} {:g}\" role=\"img\" "
      "aria-label=\"{}\">\n{}</svg>\n",
      top, width, height - top, markup_text(label), content);
}

/// `words` as they are in a log: they are escaped here.
inline std::string label(double x, double y, std::string_view words, std::string_view anchor = "start",
                         std::string_view look = "", double size = 12) {
  return fmt::format(
      "<text x=\"{:.1f}\" y=\"{:.1f}\" font-size=\"{:g}\" text-anchor=\"{}\" class=\"{}\">{}</text>\n", x, y,
      size, anchor, look, markup_text(words));
}

/// With a name to be shown under the pointer, where it has one.
inline std::string box(double x, double y, double width, double height, std::string_view look,
                       std::string_view name = "") {
  const auto title = name.empty() ? "" : fmt::format("<title>{}</title>", markup_text(name));
  return fmt::format(
      "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" class=\"{}\">{}</rect>\n", x, y,
      width, height, look, title);
}

inline std::string stroke(double x1, double y1, double x2, double y2, std::string_view look) {
  return fmt::format("<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" class=\"{}\"/>\n", x1, y1,
                     x2, y2, look);
}

/// About as wide as such words are at 12 px.
inline double width_of(std::string_view words) {
  return 6.6 * static_cast<double>(words.size());
}

}  // namespace noonfall::report
