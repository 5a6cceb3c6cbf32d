#include <fmt/format.h>

#include "daemon/cli/plot_frame.h"
#include "daemon/cli/timeline_plot.h"
#include "lib/contacts/sky_track.h"
#include "lib/contacts/solve.h"

namespace noonfall::cli {
namespace {

constexpr std::string_view sun_colour = "#b03a00";
constexpr std::string_view covered_colour = "#5b6575";
constexpr double zenith_deg = 90;

struct Curves {
  std::string covered;
  std::string sun;  // above the horizon
};

Curves curves(const contacts::Circumstances& sky, const StretchedAxis& axis, double bottom, double height) {
  constexpr double step = 2;
  Curves curves;
  for (double x = axis.left(); x <= axis.right(); x += step) {
    const auto at = axis.instant(x);
    const auto discs = contacts::discs_at(sky, at);
    const double covered = contacts::covered_area(1, discs.moon_radius, discs.centre_distance);
    curves.covered += fmt::format("L{:.1f} {:.1f}", x, bottom - covered * height);
    const auto sun = contacts::sun_at(sky, at);
    if (!sun || sun->apparent_altitude.value < 0) continue;
    curves.sun += fmt::format("{}{:.1f} {:.1f}", curves.sun.empty() ? "M" : "L", x,
                              bottom - sun->apparent_altitude.value / zenith_deg * height);
  }
  return curves;
}

}  // namespace

std::string sky_panel(const contacts::Circumstances& sky, const StretchedAxis& axis, double top,
                      double height) {
  const double bottom = top + height;
  const auto drawn = curves(sky, axis, bottom, height);
  auto out = fmt::format("<path d=\"M{0:.1f} {1:.1f}{2}L{3:.1f} {1:.1f}z\" fill=\"#c3cad6\"/>\n", axis.left(),
                         bottom, drawn.covered, axis.right());
  for (const int part : {0, 30, 60, 90}) {
    const double y = bottom - part / zenith_deg * height;
    out += fmt::format("<path d=\"M{:.1f} {:.1f}H{:.1f}\" stroke=\"#999\" stroke-width=\"0.6\"/>\n",
                       axis.left(), y, axis.right());
    out += svg_text(axis.left() - 8, y + 5, 13, "end", "#333", fmt::format("{}°", part));
  }
  for (const int percent : {0, 50, 100})
    out += svg_text(axis.right() + 8, bottom - percent / 100.0 * height + 5, 13, "start", covered_colour,
                    fmt::format("{} %", percent));
  out += fmt::format("<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"2.4\"/>\n", drawn.sun,
                     sun_colour);
  out += svg_text(20, top + 68, 13, "start", sun_colour, "Sun's height");
  return out + svg_text(20, top + 88, 13, "start", covered_colour, "covered part");
}

}  // namespace noonfall::cli
