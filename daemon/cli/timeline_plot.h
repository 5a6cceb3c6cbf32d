// `check --svg`: the whole plan as one picture for a screen or a sheet of A4.
#pragma once

#include <string>
#include <vector>

#include "daemon/cli/stretched_axis.h"
#include "lib/time/zone.h"
#include "lib/timeline/timeline.h"

namespace noonfall::cli {

/// An SVG of A4 across: sky above, a lane for each rig, cues, and below them everything by its number.
[[nodiscard]] std::string timeline_svg(const timeline::Timeline& timeline, const LocalClock& local);

/// How high the Sun stands and how much of it is covered, over the axis.
[[nodiscard]] std::string sky_panel(const contacts::Circumstances& sky, const StretchedAxis& axis, double top,
                                    double height);

/// What the lanes number and the list below tells.
struct PlotEntry {
  std::string number;  // "12", hands-on spans "a"
  std::size_t rig = 0;
  std::string name;
  std::string when;
  std::string what;
  Utc from;
  Utc until;
  bool hands = false;
};
/// Steps by rig and time, each name of the plan once, then hands-on spans.
[[nodiscard]] std::vector<PlotEntry> plot_entries(const timeline::Timeline& timeline,
                                                  const LocalClock& local);

/// At most so many characters, the last one "…" where some are left out.
[[nodiscard]] std::string shortened(const std::string& text, std::size_t most);

/// The list below the lanes, from `top` on, and where it ends.
struct Listing {
  std::string svg;
  double bottom = 0;
};
[[nodiscard]] Listing list_entries(const timeline::Timeline& timeline, const std::vector<PlotEntry>& entries,
                                   const LocalClock& local, double top);

}  // namespace noonfall::cli
