#include "daemon/cli/timeline_plot.h"

#include <algorithm>

#include <fmt/format.h>

#include "daemon/cli/frame_bars.h"
#include "daemon/cli/plot_frame.h"
#include "lib/exposure/exposure.h"
#include "lib/time/utc_text.h"
#include "lib/timeline/relative_text.h"

namespace noonfall::cli {
namespace {

using contacts::ContactName;
using timeline::CueKind;
using timeline::RigStep;
using timeline::RigTimeline;
using timeline::Timeline;

constexpr double page_width = 1485;  // 5 to a millimetre of A4 across
constexpr double page_height = 1050;
constexpr double left_edge = 160;
constexpr double right_edge = 1420;
constexpr double sky_top = 132;
constexpr double sky_height = 150;
constexpr double lane_height = 104;
constexpr std::string_view dark = "#222";

std::string box(double x, double y, double width, double height, std::string_view style) {
  return fmt::format("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" {}/>\n", x, y,
                     std::max(width, 0.0), height, style);
}

std::string upright(double x, double from, double until, std::string_view style) {
  return fmt::format("<path d=\"M{0:.1f} {1:.1f}V{2:.1f}\" fill=\"none\" {3}/>\n", x, from, until, style);
}

constexpr std::string_view patterns =
    "<defs>\n"
    "<pattern id=\"hands\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\" "
    "patternTransform=\"rotate(45)\"><rect width=\"7\" height=\"7\" fill=\"#fff3d6\"/><rect width=\"2\" "
    "height=\"7\" fill=\"#8a6d1f\"/></pattern>\n"
    "<pattern id=\"handling\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\" "
    "patternTransform=\"rotate(-45)\"><rect width=\"5\" height=\"5\" fill=\"#fff\"/><rect width=\"2\" "
    "height=\"5\" fill=\"#444\"/></pattern>\n"
    "</defs>\n";

/// Over lines: with a white rim.
std::string rimmed(const std::string& text) {
  return "<g stroke=\"#fff\" stroke-width=\"3.5\" paint-order=\"stroke\">" + text + "</g>\n";
}

class Plot {
 public:
  Plot(const Timeline& timeline, const LocalClock& local)
      : timeline_{timeline},
        local_{local},
        axis_{timeline, left_edge, right_edge},
        light_{light_range(timeline)},
        entries_{plot_entries(timeline, local)} {}

  std::string svg() {
    lanes_bottom_ = sky_top + sky_height + 14 + lane_height * static_cast<double>(timeline_.rigs.size());
    const auto listing = list_entries(timeline_, entries_, local_, lanes_bottom_ + 108);
    titles();
    ground();
    out_ += sky_panel(circumstances(), axis_, sky_top, sky_height);
    for (std::size_t n = 0; n < timeline_.rigs.size(); ++n) lane(n);
    contact_lines();
    out_ += after_lines_;
    cues();
    ticks();
    scale(listing.bottom + 26);
    // What needs more room than the page is drawn smaller.
    const double height = std::max(page_height, listing.bottom + 90);
    return fmt::format(
               "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"297mm\" height=\"210mm\" viewBox=\"0 0 "
               "{0:.0f} "
               "{1:.0f}\" font-family=\"Helvetica, Arial, 'Liberation Sans', sans-serif\">\n<rect "
               "width=\"{0:.0f}\" height=\"{1:.0f}\" fill=\"#fff\"/>\n",
               page_width, height) +
           std::string{patterns} + out_ + listing.svg + "</svg>\n";
  }

 private:
  [[nodiscard]] const contacts::Circumstances& circumstances() const { return timeline_.circumstances; }

  void titles() {
    const auto& site = circumstances().site;
    out_ += svg_text(left_edge, 46, 27, "start", "#111",
                     timeline_.title.empty() ? "Untitled plan" : timeline_.title);
    const auto length =
        circumstances().kind == contacts::Kind::total
            ? fmt::format(", totality lasts {}", timeline::rounded_text(circumstances().totality()))
            : std::string{};
    out_ +=
        svg_text(left_edge, 71, 15, "start", "#444",
                 fmt::format("{}, {} at {:.4f}, {:.4f}{}. Times are {}.", to_text(circumstances().eclipse),
                             contacts::to_text(circumstances().kind), site.latitude.value,
                             site.longitude.value, length, local_ ? timeline_.zone : "UTC"));
  }

  /// What is stretched stands on a ground of its own.
  void ground() {
    const auto pieces = axis_.pieces();
    for (const auto& piece : pieces) {
      const auto c2 = circumstances().at(ContactName::c2);
      if (pieces.size() == 1 || !c2 || piece.from > c2->utc || piece.until < c2->utc) continue;
      out_ += box(piece.left, sky_top, piece.right - piece.left, lanes_bottom_ + 34 - sky_top,
                  "fill=\"#f1f3f6\"");
    }
  }

  /// No room for the words of MID between those of C2 and C3.
  [[nodiscard]] bool is_crowded() const {
    const auto& c2 = circumstances().at(ContactName::c2);
    const auto& c3 = circumstances().at(ContactName::c3);
    return c2 && c3 && axis_.x(c3->utc) - axis_.x(c2->utc) < 180;
  }

  void contact_lines() {
    for (const auto name : contacts::all_contacts) {
      const auto& contact = circumstances().at(name);
      if (!contact) continue;
      const double x = axis_.x(contact->utc);
      const bool middle = name == ContactName::mid;
      out_ += upright(x, middle ? sky_top : sky_top - 8, lanes_bottom_ + 4,
                      middle ? "stroke=\"#555\" stroke-width=\"1\" stroke-dasharray=\"2 4\""
                             : "stroke=\"#111\" stroke-width=\"1.2\" stroke-dasharray=\"6 4\"");
      const bool before = name == ContactName::c2 || name == ContactName::c4;
      const std::string_view anchor = middle ? "middle" : before ? "end" : "start";
      const double away = middle ? 0 : before ? 2 : -2;
      const auto words = fmt::format("{}  {}", contacts::to_text(name), clock_text(contact->utc, local_));
      out_ +=
          svg_text(x + away, middle && is_crowded() ? sky_top - 34 : sky_top - 14, 15, anchor, "#111", words);
    }
  }

  void lane(std::size_t n) {
    const auto& rig = timeline_.rigs[n];
    const double top = sky_top + sky_height + 14 + lane_height * static_cast<double>(n);
    const double bottom = top + lane_height - 22;
    out_ += svg_text(20, top + 40, 17, "start", "#111", shortened(rig.name, 15));
    out_ += svg_text(20, top + 60, 13, "start", "#555",
                     rig.by_hand ? "by hand" : fmt::format("{} frames", rig.predicted_frames()));
    filter_strip(rig, top + 4);
    out_ += box(left_edge, top + 24, right_edge - left_edge, bottom - top - 24,
                "fill=\"none\" stroke=\"#888\" stroke-width=\"0.8\"");
    for (const auto& span : timeline_.hands_on) {
      if (span.rig != n) continue;
      out_ += box(axis_.x(span.from), top + 24, std::max(axis_.x(span.until) - axis_.x(span.from), 2.0),
                  bottom - top - 24, "fill=\"url(#hands)\" stroke=\"#8a6d1f\" stroke-width=\"0.8\"");
    }
    FrameBars bars;
    for (const auto& step : rig.steps) add_frames(step, bottom, bars);
    out_ += bars.svg();
    numbers(n, bottom + 15);
  }

  void filter_strip(const RigTimeline& rig, double y) {
    constexpr double height = 15;
    if (!rig.has_filter) {
      after_lines_ += rimmed(svg_text(left_edge + 6, y + 12, 12, "start", "#555", "no filter"));
      return;
    }
    out_ += box(left_edge, y, right_edge - left_edge, height, "fill=\"#3a3f47\"");
    out_ += svg_text(left_edge + 6, y + 12, 12, "start", "#fff", "camera filter on");
    if (!rig.window) return;
    const auto& window = *rig.window;
    const double opens = axis_.x(window.opens);
    const double closes = axis_.x(window.closes);
    const double usable_from = axis_.x(window.usable_from);
    const double usable_until = axis_.x(window.usable_until);
    out_ += box(opens, y, closes - opens, height, "fill=\"url(#handling)\" stroke=\"#111\"");
    out_ += box(usable_from, y, usable_until - usable_from, height, "fill=\"#fff\" stroke=\"#111\"");
    out_ += svg_text((usable_from + usable_until) / 2, y + 12, 12, "middle", dark,
                     fmt::format("camera filter off, from {} to {}", clock_text(window.opens, local_),
                                 clock_text(window.closes, local_)));
  }

  void add_frames(const RigStep& step, double bottom, FrameBars& bars) const {
    const auto add_set = [&](const timeline::SetShape& shape, Utc at) {
      for (std::size_t n = 0; n < shape.exposures.size(); ++n) {
        const auto opens = at + shape.offsets[n];
        const auto open_s = exposure::exact_seconds(shape.exposures[n].shutter);
        const double x = axis_.x(opens);
        bars.add(x, axis_.x(opens + from_seconds(open_s)) - x, light_.share(shape.exposures[n]), bottom);
      }
    };
    for (const auto& target : step.targets) add_set(step.shapes[target.shape], target.due);
    if (!step.back_to_back) return;
    auto at = step.from;
    for (int set = 0; set < step.predicted_sets && at < step.until; ++set) {
      const auto& shape = step.shapes[static_cast<std::size_t>(set) % step.shapes.size()];
      add_set(shape, at);
      at += shape.cycle;
    }
  }

  /// Under the lane, as far as there is room for each.
  void numbers(std::size_t rig, double y) {
    std::vector<const PlotEntry*> of_rig;
    for (const auto& entry : entries_)
      if (entry.rig == rig) of_rig.push_back(&entry);
    std::stable_sort(of_rig.begin(), of_rig.end(),
                     [](const PlotEntry* a, const PlotEntry* b) { return a->from < b->from; });
    double free_from = left_edge - 20;
    for (const auto* entry : of_rig) {
      const double middle = (axis_.x(entry->from) + axis_.x(entry->until)) / 2;
      const double half = 4 + 3.5 * static_cast<double>(entry->number.size());
      const double x = std::max(middle, free_from + half);
      if (x - middle > 2.5 * half) continue;
      after_lines_ += rimmed(svg_text(x, y, 13, "middle", entry->hands ? "#7a5c10" : dark, entry->number));
      free_from = x + half;
    }
  }

  void cues() {
    const double y = lanes_bottom_ + 14;
    out_ += svg_text(20, y + 9, 13, "start", "#333", "cues");
    for (const auto& cue : timeline_.cues) {
      const bool filter = cue.kind == CueKind::filter_off || cue.kind == CueKind::filter_on;
      const double half = filter ? 6.5 : 4.5;
      out_ +=
          fmt::format("<path d=\"M{0:.1f} {1:.1f}l{2} {3}h-{4}z\" fill=\"{5}\" stroke=\"#111\"/>\n",
                      axis_.x(cue.ends), y - 4, half, filter ? 14 : 10, 2 * half, filter ? "#111" : "#fff");
    }
  }

  void ticks() {
    const double y = lanes_bottom_ + 34;
    out_ += fmt::format("<path d=\"M{} {:.1f}H{}\" stroke=\"#111\"/>\n", left_edge, y, right_edge);
    for (const auto& tick : axis_.ticks(local_)) {
      const double x = axis_.x(tick.at);
      out_ += upright(x, y, y + (tick.whole_minute ? 8 : 5), "stroke=\"#111\"");
      out_ += svg_text(x, y + 24, 13, "middle", tick.whole_minute ? "#111" : "#666", tick.label);
    }
    if (axis_.pieces().size() > 1)
      out_ += svg_text((left_edge + right_edge) / 2, y + 44, 12, "middle", "#555",
                       "The tinted part is stretched: a minute before C2 to a minute after C3.");
  }

  void scale(double y) {
    constexpr double width = 420;
    out_ += svg_text(left_edge, y, 13, "start", "#333", "Colour and height of a frame: light it records");
    constexpr double each = width / FrameBars::colours;
    for (std::size_t n = 0; n < FrameBars::colours; ++n)
      out_ += box(left_edge + 330 + each * static_cast<double>(n), y - 12, each + 0.5, 15,
                  fmt::format("fill=\"{}\"", FrameBars::colour(n)));
    const auto stops = light_.most - light_.least;
    out_ += svg_text(
        left_edge + 330 + width + 12, y, 13, "start", "#333",
        stops > 0 ? fmt::format("{:.0f} stops from the least to the most", stops) : std::string{"all alike"});
    out_ += svg_text(left_edge, y + 24, 13, "start", "#111",
                     "Looking at the Sun without eye protection can blind. The camera filter is on the lens "
                     "wherever this picture doesn't say that it is off.");
  }

  const Timeline& timeline_;
  const LocalClock& local_;
  StretchedAxis axis_;
  LightRange light_;
  std::vector<PlotEntry> entries_;
  double lanes_bottom_ = 0;
  std::string out_;
  std::string after_lines_;  // what contact lines run behind
};

}  // namespace

std::string timeline_svg(const Timeline& timeline, const LocalClock& local) {
  return Plot{timeline, local}.svg();
}

}  // namespace noonfall::cli
