#include "lib/timeline/filter_window.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/plan/resolve.h"
#include "lib/timeline/light.h"
#include "lib/timeline/relative_text.h"

namespace noonfall::timeline {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;

constexpr Duration most_outside_totality = 60s;

Duration uncertainty(const contacts::Contact& contact, Duration clock_bound) {
  return contact.uncertainty + clock_bound;
}

bool has_unfiltered_steps(const RigTimeline& planned) {
  return std::ranges::any_of(planned.steps, [](const RigStep& step) { return !step.filtered; });
}

Diagnostic totality_not_certain(const Given& given) {
  const auto& c2 = *given.sky.at(ContactName::c2);
  const auto& c3 = *given.sky.at(ContactName::c3);
  const auto bound = given.assumptions.clock_bound;
  return error_at(
      given.plan.site.mark, "totality-not-certain",
      fmt::format("totality isn't certain here: it lasts {}, while C2 is known to {} and C3 to {}",
                  rounded_text(c3.utc - c2.utc), rounded_text(uncertainty(c2, bound)),
                  rounded_text(uncertainty(c3, bound))),
      "a site further inside the path; until then no filter comes off");
}

/// A filter that stays on in totality is the site's doing where totality isn't certain or the Sun is low.
const char* code_of_filter_left_on(const Given& given, const std::optional<WindowBounds>& bounds) {
  if (!bounds) return "uncertain-totality";
  const bool low = is_sun_low(given, given.sky.at(ContactName::c2)->utc) ||
                   is_sun_low(given, given.sky.at(ContactName::c3)->utc);
  return low ? "low-sun-filter-stays-on" : "filter-stays-on";
}

std::optional<Diagnostic> edge_outside_bounds(const Given& given, const plan::Rig& rig,
                                              const FilterWindow& window, const WindowBounds& bounds) {
  const auto& filter = *rig.filter;
  if (window.opens < bounds.opens_earliest) {
    return error_at(filter.opens.mark, "filter-opens-early",
                    fmt::format("the filter of {} would come off at {}, earlier than {}", rig.name,
                                relative_text(window.opens, given.sky),
                                relative_text(bounds.opens_earliest, given.sky, Rounding::later)),
                    fmt::format("opens: {} or later (60 s before C2, less what C2 is uncertain by)",
                                relative_text(bounds.opens_earliest, given.sky, Rounding::later)));
  }
  if (window.closes > bounds.closes_latest) {
    return error_at(filter.closes.mark, "filter-closes-late",
                    fmt::format("the filter of {} would be back on at {}, later than {}", rig.name,
                                relative_text(window.closes, given.sky),
                                relative_text(bounds.closes_latest, given.sky, Rounding::earlier)),
                    fmt::format("closes: {} or earlier (60 s after C3, less what C3 is uncertain by)",
                                relative_text(bounds.closes_latest, given.sky, Rounding::earlier)));
  }
  if (filter.handling >= 0s && window.usable_from < window.usable_until) return {};
  return error_at(
      filter.mark, "filter-window-too-short",
      fmt::format("the filter window of {} lasts {}, and the filter takes {} to handle at each end", rig.name,
                  rounded_text(window.closes - window.opens), rounded_text(filter.handling)),
      "a window longer than twice the handling time");
}

/// The window as the plan has it, before the operator's other rigs are thought of.
std::optional<Diagnostic> planned_window(const Given& given, const plan::Rig& rig, const WindowBounds& bounds,
                                         RigTimeline& planned) {
  const auto opens = plan::resolve(rig.filter->opens, given.sky);  // a total eclipse has every contact
  const auto closes = plan::resolve(rig.filter->closes, given.sky);
  const auto handling = rig.filter->handling;
  planned.window = FilterWindow{*opens, *opens + handling, *closes - handling, *closes};
  auto refusal = edge_outside_bounds(given, rig, *planned.window, bounds);
  if (refusal) planned.window.reset();
  return refusal;
}

Utc first_unfiltered(const RigTimeline& planned) {
  auto first = Utc::max();
  for (const auto& step : planned.steps)
    if (!step.filtered) first = std::min(first, step.first_opening());
  return first;
}

Utc last_unfiltered(const RigTimeline& planned) {
  auto last = Utc::min();
  for (const auto& step : planned.steps)
    if (!step.filtered) last = std::max(last, step.last_closing());
  return last;
}

std::vector<std::size_t> rigs_with_windows(const Timeline& timeline) {
  std::vector<std::size_t> found;
  for (std::size_t i = 0; i < timeline.rigs.size(); ++i)
    if (timeline.rigs[i].window) found.push_back(i);
  return found;
}

/// Two people's cues end so far apart that one voice can speak both.
constexpr Duration one_voice = 4s;

bool same_hands(const Timeline& timeline, std::size_t a, std::size_t b) {
  return timeline.rigs[a].person == timeline.rigs[b].person;
}

/// Each person takes their filters off one after the other, the rig that shoots first first.
void stagger_off(const Given& given, Timeline& timeline, std::vector<std::size_t> rigs) {
  std::ranges::stable_sort(rigs, [&](auto a, auto b) {
    return first_unfiltered(timeline.rigs[a]) < first_unfiltered(timeline.rigs[b]);
  });
  for (std::size_t n = 0; n < rigs.size(); ++n) {
    auto& window = *timeline.rigs[rigs[n]].window;
    for (std::size_t before = 0; before < n; ++before) {
      const auto& other = *timeline.rigs[rigs[before]].window;
      const bool same = same_hands(timeline, rigs[n], rigs[before]);
      window.opens = std::max(window.opens, same ? other.usable_from : other.opens + one_voice);
    }
    window.usable_from = window.opens + given.plan.rigs[rigs[n]].filter->handling;
  }
}

/// And puts them back one after the other, the rig that shoots last last; the earlier ones make room.
void stagger_on(const Given& given, Timeline& timeline, std::vector<std::size_t> rigs) {
  std::ranges::stable_sort(rigs, [&](auto a, auto b) {
    return last_unfiltered(timeline.rigs[a]) > last_unfiltered(timeline.rigs[b]);
  });
  for (std::size_t n = 0; n < rigs.size(); ++n) {
    auto& window = *timeline.rigs[rigs[n]].window;
    const auto handling = given.plan.rigs[rigs[n]].filter->handling;
    for (std::size_t after = 0; after < n; ++after) {
      const auto& other = *timeline.rigs[rigs[after]].window;
      const bool same = same_hands(timeline, rigs[n], rigs[after]);
      window.closes =
          std::min(window.closes, same ? other.usable_until : other.usable_until - one_voice + handling);
    }
    window.usable_until = window.closes - handling;
  }
}

/// Totality too short for a person to take every filter off before the first goes back on.
std::vector<WindowRefusal> refuse_crossed_hands(const Given& given, Timeline& timeline) {
  std::vector<WindowRefusal> refusals;
  const auto rigs = rigs_with_windows(timeline);
  for (const auto i : rigs) {
    auto all_off = Utc::min();
    auto first_on = Utc::max();
    std::size_t filters = 0;
    for (const auto other : rigs) {
      if (!same_hands(timeline, i, other)) continue;
      ++filters;
      all_off = std::max(all_off, timeline.rigs[other].window->usable_from);
      first_on = std::min(first_on, timeline.rigs[other].window->usable_until);
    }
    if (all_off < first_on) continue;
    refusals.push_back(
        {i,
         error_at(given.plan.rigs[i].filter->mark, "filters-one-operator",
                  fmt::format("one operator has the last of {} filters off at {}, but the first must go "
                              "back on from {}",
                              filters, relative_text(all_off, given.sky), relative_text(first_on, given.sky)),
                  "fewer rigs with filters, shorter handling, or wider windows")});
  }
  for (const auto& refusal : refusals) timeline.rigs[refusal.rig].window.reset();
  return refusals;
}

}  // namespace

std::optional<WindowBounds> window_bounds(const contacts::Circumstances& sky, Duration clock_bound) {
  if (sky.kind != contacts::Kind::total) return {};
  const auto& c2 = *sky.at(ContactName::c2);
  const auto& c3 = *sky.at(ContactName::c3);
  const auto u2 = uncertainty(c2, clock_bound);
  const auto u3 = uncertainty(c3, clock_bound);
  if (c3.utc - c2.utc <= u2 + u3) return {};
  return WindowBounds{c2.utc + u2 - most_outside_totality, c3.utc - u3 + most_outside_totality};
}

void close_unused_windows(Timeline& timeline) {
  for (auto& planned : timeline.rigs)
    if (!has_unfiltered_steps(planned)) planned.window.reset();
}

std::vector<WindowRefusal> place_filter_windows(const Given& given, Timeline& timeline,
                                                Diagnostics& findings) {
  std::vector<WindowRefusal> refusals;
  if (given.sky.kind != contacts::Kind::total) return refusals;
  const auto bounds = window_bounds(given.sky, given.assumptions.clock_bound);
  for (std::size_t i = 0; i < timeline.rigs.size(); ++i) {
    const auto& rig = given.plan.rigs[i];
    auto& planned = timeline.rigs[i];
    if (!rig.filter) continue;
    if (!has_unfiltered_steps(planned)) {
      if (has_errors(findings)) continue;  // the step that needs it may be among them
      findings.push_back(warning_at(rig.filter->mark, code_of_filter_left_on(given, bounds),
                                    fmt::format("no step of {} needs the filter off: it stays on throughout, "
                                                "and no cue asks for it",
                                                rig.name)));
      continue;
    }
    auto refusal = bounds ? planned_window(given, rig, *bounds, planned) : totality_not_certain(given);
    if (refusal) refusals.push_back({i, std::move(*refusal)});
  }
  stagger_off(given, timeline, rigs_with_windows(timeline));
  stagger_on(given, timeline, rigs_with_windows(timeline));
  auto crossed = refuse_crossed_hands(given, timeline);
  std::move(crossed.begin(), crossed.end(), std::back_inserter(refusals));
  return refusals;
}

}  // namespace noonfall::timeline
