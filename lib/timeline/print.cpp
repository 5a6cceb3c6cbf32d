#include "lib/timeline/print.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lib/base/code_points.h"
#include "lib/contacts/sky_track.h"
#include "lib/exposure/scale.h"
#include "lib/time/utc_text.h"
#include "lib/timeline/relative_text.h"

namespace noonfall::timeline {
namespace {

using contacts::ContactName;
using contacts::Kind;

/// What follows the shutter time: "f/8 ISO 400".
std::string lens_and_iso(const exposure::Exposure& exposure) {
  const auto iso = exposure::to_text(exposure.iso);
  return exposure.aperture ? exposure::to_text(*exposure.aperture) + " " + iso : iso;
}

std::string turn_text(const RigStep& step, std::size_t first) {
  if (step.in_turn == 1) return set_text(step.shapes[first]);
  std::vector<std::string> texts;
  for (std::size_t n = 0; n < step.in_turn; ++n) texts.push_back(set_text(step.shapes[first + n]));
  return fmt::format("in turn {}", fmt::join(texts, "; "));
}

/// The first turn, and the one most unlike it that the light makes of it.
std::string shapes_text(const RigStep& step) {
  std::size_t unlike = 0;
  double most = 0;
  for (std::size_t turn = 0; turn < step.shapes.size(); turn += step.in_turn) {
    const auto& first = step.shapes.front().exposures.front();
    const double away = std::abs(stops_between(first, step.shapes[turn].exposures.front()).value);
    if (away <= most) continue;
    most = away;
    unlike = turn;
  }
  const auto first = turn_text(step, 0);
  return unlike == 0 ? first : fmt::format("{}, as the light changes to {}", first, turn_text(step, unlike));
}

std::string pace_text(const RigStep& step, const contacts::Circumstances& sky) {
  const auto until = relative_text(step.until, sky);
  if (step.back_to_back && step.drive == body::Drive::continuous)
    return fmt::format(", continuous drive until {}, about {} frames", until, step.predicted_frames());
  if (step.back_to_back)
    return fmt::format(", back to back until {}, about {} {}{}", until, step.predicted_sets,
                       step.predicted_sets == 1 ? "set" : "sets",
                       step.drive == body::Drive::bracket ? ", each at one release" : "");
  if (step.targets.size() < 2)
    return step.drive == body::Drive::single ? "" : fmt::format(", {} drive", body::to_text(step.drive));
  return fmt::format(", every {}, {} sets, the last at {}",
                     rounded_text(step.targets[1].due - step.targets[0].due), step.targets.size(),
                     relative_text(step.targets.back().due, sky));
}

/// "crescent in: 3 frames 1/2000 to 1/500 f/8 ISO 400, every 5 min, 12 sets until C2 - 1 min 40 s".
std::string step_text(const RigStep& step, const contacts::Circumstances& sky) {
  return fmt::format("{}: {}{}", step.name, shapes_text(step), pace_text(step, sky));
}

struct Entry {
  Utc at;
  std::string rig;
  std::string what;
};

constexpr std::size_t widest_line = 100;
constexpr std::size_t widest_indent = 60;

/// With the spaces before it and the sign that ends it: a word, or all up to the next ", ", "; " or ": ".
std::string_view first_word(std::string_view text) {
  return text.substr(0, text.find(' ', std::min(text.find_first_not_of(' '), text.size())));
}
std::string_view first_clause(std::string_view text) {
  for (std::size_t at = 1; at < text.size(); ++at) {
    const auto before = text[at - 1];
    if (text[at] == ' ' && (before == ',' || before == ';' || before == ':')) return text.substr(0, at);
  }
  return text;
}

/// Lines of at most `widest_line` columns, broken between clauses, or between words where a clause is longer
/// than a line; all but the first begin at `indent`.
std::string wrapped(std::string_view text, std::size_t indent) {
  indent = std::min(indent, widest_indent);
  std::string out;
  std::size_t used = 0;
  while (!text.empty()) {
    const auto clause = first_clause(text);
    const bool whole = used + code_points(clause) <= widest_line;
    const bool begins = out.ends_with(',') || out.ends_with(';') || out.ends_with(':');
    const bool fits_below = begins && indent + code_points(clause) <= widest_line + 1;  // a space stays above
    const auto part = whole ? clause : first_word(text);
    if (used > indent && !whole && (fits_below || used + code_points(part) > widest_line)) {
      out += '\n' + std::string(indent, ' ');
      used = indent;
      text.remove_prefix(std::min(text.find_first_not_of(' '), text.size()));
      continue;
    }
    out += part;
    used += code_points(part);
    text.remove_prefix(part.size());
  }
  return out;
}

std::string side(Degrees angle, char positive, char negative) {
  return fmt::format("{:.4f} {}", std::abs(angle.value), angle.value < 0 ? negative : positive);
}

class Printer {
 public:
  Printer(const Timeline& timeline, const LocalClock& local) : timeline_{timeline}, local_{local} {}

  std::string print() {
    add_title();
    add_contacts();
    add_windows();
    add_entries();
    text_ += gear_text(timeline_, local_);
    add_left_out();
    return std::move(text_);
  }

 private:
  template <class... Args>
  void line(fmt::format_string<Args...> format, Args&&... args) {
    hanging(0, fmt::format(format, std::forward<Args>(args)...));
  }
  void hanging(std::size_t indent, std::string made) {
    made.erase(made.find_last_not_of(' ') + 1);
    text_ += wrapped(made, indent) + '\n';
  }

  [[nodiscard]] std::string clocks(Utc at) const {
    return local_ ? fmt::format("{:<12}{:<12}", to_clock_text(at), local_(at))
                  : fmt::format("{:<12}", to_clock_text(at));
  }
  [[nodiscard]] std::string clock_heads() const {
    return local_ ? fmt::format("{:<12}{:<12}", "UTC", "local") : fmt::format("{:<12}", "UTC");
  }
  [[nodiscard]] const contacts::Circumstances& sky() const { return timeline_.circumstances; }

  void add_title() {
    line("{}", timeline_.title);
    line("{}, {} at {}, {}, {:.0f} m above the ellipsoid", noonfall::to_text(sky().eclipse),
         contacts::to_text(sky().kind), side(sky().site.latitude, 'N', 'S'),
         side(sky().site.longitude, 'E', 'W'), sky().site.height.value);
    if (sky().kind == Kind::total) line("totality lasts {}", rounded_text(sky().totality()));
    if (local_) line("local time is that of {}", timeline_.zone);
  }

  void add_contacts() {
    line("");
    line("{:<22}{}", "", clock_heads());
    for (const auto name : contacts::all_contacts) {
      const auto& contact = sky().at(name);
      if (!contact) continue;
      line("{:<22}{}Sun {:.0f}° up at azimuth {:.0f}°, ± {:.1f} s",
           fmt::format("{:<4}{}", contacts::to_text(name), meaning_of(name, sky().kind)),
           clocks(contact->utc), contact->apparent_altitude.value, contact->azimuth.value,
           in_seconds(contact->uncertainty));
    }
    const auto row = [this](const char* what, const std::optional<Utc>& at) {
      if (at) line("    {:<18}{}", what, clocks(*at));
    };
    const auto level = contacts::rise_and_set(sky());
    row("sunrise", level.rises);
    row("sunset", level.sets);
    if (timeline_.horizon.value == 0) return;
    const auto hill = contacts::rise_and_set_over(sky(), timeline_.horizon);
    row("over the hill", hill.rises);
    row("behind the hill", hill.sets);
  }

  void add_windows() {
    line("");
    const bool any =
        std::ranges::any_of(timeline_.rigs, [](const RigTimeline& rig) { return rig.window.has_value(); });
    line("{}", any ? "Camera filters, off and back on" : "Camera filters stay on throughout.");
    for (const auto& rig : timeline_.rigs) {
      if (!rig.window) {
        if (!rig.has_filter || any) hanging(14, fmt::format("  {:<12}{}", rig.name, no_window_text(rig)));
        continue;
      }
      hanging(14,
              fmt::format("  {:<12}off from {} ({}), frames from {} until {}, on again by {} ({})", rig.name,
                          to_clock_text(rig.window->opens), relative_text(rig.window->opens, sky()),
                          relative_text(rig.window->usable_from, sky()),
                          relative_text(rig.window->usable_until, sky()), to_clock_text(rig.window->closes),
                          relative_text(rig.window->closes, sky())));
    }
  }

  void add_entries() {
    const auto all = entries();
    std::size_t rig_width = 3;
    for (const auto& entry : all) rig_width = std::max(rig_width, entry.rig.size());
    line("");
    line("{}{:<20}{:<{}}  what", clock_heads(), "", "rig", rig_width);
    for (const auto& entry : all) {
      const auto before = fmt::format("{}{:<20}{:<{}}  ", clocks(entry.at), relative_text(entry.at, sky()),
                                      entry.rig, rig_width);
      hanging(code_points(before) + 2, before + entry.what);
    }
  }

  void add_left_out() {
    if (timeline_.skipped.empty()) return;
    line("");
    line("Left out");
    for (const auto& skipped : timeline_.skipped)
      hanging(4, fmt::format("  {}{}: {}", skipped.step, skipped.rig.empty() ? "" : " on " + skipped.rig,
                             skipped.why));
  }

  [[nodiscard]] std::vector<Entry> entries() const {
    std::vector<Entry> all;
    for (const auto name : contacts::all_contacts) {
      if (const auto& contact = sky().at(name))
        all.push_back({contact->utc, "", fmt::format("---- {} ----", meaning_of(name, sky().kind))});
    }
    for (const auto& cue : timeline_.cues) all.push_back({cue.ends, "", fmt::format("\"{}\"", cue.words)});
    for (const auto& span : timeline_.hands_on) {
      all.push_back({span.from, timeline_.rigs[span.rig].name,
                     fmt::format("hands on: {}, until {}", span.name, relative_text(span.until, sky()))});
    }
    for (const auto& rig : timeline_.rigs) {
      for (const auto& step : rig.steps)
        all.push_back({step.first_opening(), rig.name, step_text(step, sky())});
    }
    std::ranges::stable_sort(all, [](const Entry& a, const Entry& b) { return a.at < b.at; });
    return all;
  }

  const Timeline& timeline_;
  const LocalClock& local_;
  std::string text_;
};

}  // namespace

std::string_view meaning_of(ContactName name, Kind kind) {
  switch (name) {
    case ContactName::c1:
      return "first bite";
    case ContactName::c2:
      return kind == Kind::total ? "totality begins" : "the ring closes";
    case ContactName::mid:
      return "mid-eclipse";
    case ContactName::c3:
      return kind == Kind::total ? "totality ends" : "the ring breaks";
    case ContactName::c4:
      return "last bite";
  }
  return "";
}

std::string_view no_window_text(const RigTimeline& rig) {
  if (rig.has_filter) return "stays on";
  return rig.sun_in_frame
             ? "has none, as a lens of at most 35 mm may, at f/8 or smaller outside totality (common "
               "practice, no source)"
             : "has none: the Sun stays out of its frame";
}

std::string set_text(const SetShape& shape) {
  const auto& frames = shape.exposures;
  if (frames.size() == 1) return exposure::to_text(frames.front());
  const bool there_and_back = frames.size() > 2 && frames.front() == frames.back();
  const auto& far = there_and_back ? frames[frames.size() / 2] : frames.back();
  return fmt::format("{} frames {} to {}{} {}", frames.size(), exposure::to_text(frames.front().shutter),
                     exposure::to_text(far.shutter), there_and_back ? " and back" : "", lens_and_iso(far));
}

std::string to_text(const Timeline& timeline, const LocalClock& local) {
  return Printer{timeline, local}.print();
}

}  // namespace noonfall::timeline
