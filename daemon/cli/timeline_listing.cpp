#include <algorithm>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "daemon/cli/plot_frame.h"
#include "daemon/cli/timeline_plot.h"
#include "lib/base/code_points.h"
#include "lib/timeline/print.h"

namespace noonfall::cli {
namespace {

using timeline::RigStep;
using timeline::Timeline;

constexpr double left_edge = 160;
constexpr double right_edge = 1420;
constexpr int columns = 3;
constexpr double column_width = (right_edge - left_edge) / columns;
constexpr double line_height = 16;
constexpr std::size_t least_lines = 16;  // of a column: a short list isn't torn apart
constexpr std::size_t widest = 62;       // characters of a line of a column

/// The list has their spans already.
bool is_for_hands(const timeline::Cue& cue) {
  return cue.kind == timeline::CueKind::hands_on || cue.kind == timeline::CueKind::hands_off;
}

/// `parts` of one step of the plan, in the order of time.
std::string sets_text(const std::vector<const RigStep*>& parts) {
  const auto& step = *parts.front();
  if (step.back_to_back && step.drive == body::Drive::continuous)
    return fmt::format("burst, about {} frames", step.predicted_frames());
  std::size_t sets = 0;
  for (const auto* part : parts)
    sets += part->back_to_back ? static_cast<std::size_t>(part->predicted_sets) : part->targets.size();
  if (sets == 0) return "as they come";
  return fmt::format("{}{} set{}", step.back_to_back ? "about " : "", sets, sets == 1 ? "" : "s");
}

std::size_t visits_of(const std::vector<PlotEntry>& entries) {
  return static_cast<std::size_t>(
      std::count_if(entries.begin(), entries.end(), [](const PlotEntry& entry) { return entry.hands; }));
}

std::string letter(std::size_t n) {
  const auto last = std::string(1, static_cast<char>('a' + n % 26));
  return n < 26 ? last : letter(n / 26 - 1) + last;
}

/// Lines one below the other, column after column.
class Column {
 public:
  Column(double top, std::size_t lines) : top_{top}, lines_{std::max<std::size_t>(lines, 1)} {}

  /// Keeps `lines` together.
  void keep(std::size_t lines) {
    if (used_ % lines_ + lines > lines_ && lines <= lines_) used_ += lines_ - used_ % lines_;
  }
  void add(double indent, std::string_view colour, const std::string& words, int size = 13) {
    const std::size_t columns_before = used_ / lines_;
    const auto column = static_cast<double>(columns_before);
    const auto line = static_cast<double>(used_ % lines_);
    svg += svg_text(left_edge + column * column_width + indent, top_ + line * line_height, size, "start",
                    colour, words);
  }
  void next() { ++used_; }
  /// Begins a part of the list, with room above unless it is at a column's top.
  void heading(const std::string& words, std::size_t following = 3) {
    keep(1 + following);
    if (used_ % lines_ != 0) next();
    add(0, "#111", words, 15);
    next();
  }

  std::string svg;

 private:
  double top_;
  std::size_t lines_;
  std::size_t used_ = 0;
};

}  // namespace

std::string shortened(const std::string& text, std::size_t most) {
  if (code_points(text) <= most) return text;
  std::string out;
  for (std::size_t n = 0; n < text.size() && (code_points(out) < most - 1 || continues_code_point(text[n]));
       ++n)
    out += text[n];
  return out + "…";
}

std::vector<PlotEntry> plot_entries(const Timeline& timeline, const LocalClock& local) {
  std::vector<PlotEntry> entries;
  const auto when = [&](Utc from, Utc until) {
    return fmt::format("{} to {}", clock_text(from, local), clock_text(until, local));
  };
  int number = 0;
  for (std::size_t rig = 0; rig < timeline.rigs.size(); ++rig) {
    std::map<std::size_t, std::vector<const RigStep*>> by_name;
    for (const auto& step : timeline.rigs[rig].steps) by_name[step.plan_step].push_back(&step);
    for (const auto& step : timeline.rigs[rig].steps) {
      const auto& parts = by_name[step.plan_step];
      if (parts.front() != &step) continue;
      const auto from = step.first_opening();
      const auto until = parts.back()->last_closing();
      const auto name = parts.size() == 1 ? step.name : step.name.substr(0, step.name.rfind(" ("));
      entries.push_back({fmt::format("{}", ++number), rig, name, when(from, until),
                         fmt::format("{}, {}", timeline::set_text(step.shapes.front()), sets_text(parts)),
                         from, until, false});
    }
  }
  std::map<std::pair<std::size_t, std::size_t>, std::vector<const timeline::HandsOnSpan*>> visits;
  for (const auto& hands : timeline.hands_on) visits[{hands.rig, hands.plan_step}].push_back(&hands);
  std::size_t visit = 0;
  for (const auto& hands : timeline.hands_on) {
    const auto& of_step = visits[{hands.rig, hands.plan_step}];
    if (of_step.front() != &hands) continue;
    const auto times = of_step.size() == 1 ? std::string{} : fmt::format(", {} times", of_step.size());
    entries.push_back({letter(visit++), hands.rig,
                       fmt::format("{}, {}", timeline.rigs[hands.rig].name, hands.name),
                       when(hands.from, of_step.back()->until) + times, "", hands.from, hands.until, true});
  }
  return entries;
}

Listing list_entries(const Timeline& timeline, const std::vector<PlotEntry>& entries, const LocalClock& local,
                     double top) {
  const auto cues = timeline.cues.size() - static_cast<std::size_t>(std::count_if(
                                               timeline.cues.begin(), timeline.cues.end(), is_for_hands));
  const auto lines = entries.size() * 2 - visits_of(entries) + 2 * (timeline.rigs.size() + 2) + cues;
  const auto each = std::max((lines + columns - 1) / columns + 2, least_lines);
  Column column{top, each};
  std::size_t rig = timeline.rigs.size();
  bool hands = false;
  for (const auto& entry : entries) {
    if (entry.hands ? !hands : entry.rig != rig)
      column.heading(entry.hands ? "Hands" : shortened(timeline.rigs[entry.rig].name, 40));
    column.keep(2);
    rig = entry.rig;
    hands = entry.hands;
    column.add(0, "#111", entry.number);
    column.add(28, "#111", shortened(fmt::format("{}, {}", entry.name, entry.when), widest - 4));
    column.next();
    if (entry.what.empty()) continue;
    column.add(28, "#555", shortened(entry.what, widest - 4));
    column.next();
  }
  if (!timeline.cues.empty()) column.heading("Cues, but those for hands", cues);
  for (const auto& cue : timeline.cues) {
    if (is_for_hands(cue)) continue;
    column.add(0, "#111", clock_text(cue.ends, local));
    column.add(66, "#333", shortened(cue.words, widest - 10));
    column.next();
  }
  return {std::move(column.svg), top + static_cast<double>(each) * line_height};
}

}  // namespace noonfall::cli
