#include <algorithm>
#include <optional>

#include <fmt/format.h>

#include "lib/timeline/filter_window.h"
#include "lib/timeline/relative_text.h"
#include "lib/timeline/rules.h"

namespace noonfall::timeline {
namespace {

Duration jitter_of(const RigTimeline& rig) {
  return rig.by_hand ? Duration{} : rig.profile.release.jitter;
}

/// Beside the rig's own care not to open before an instant is due, one more jitter's distance from an edge.
void keep_off_the_edge(RigStep& step, Utc edge, Duration jitter) {
  if (step.first_opening() < edge) return;  // stands wrong altogether; reported, not moved
  const auto earliest = edge + jitter;
  step.from = std::max(step.from, earliest);
  for (auto& target : step.targets) target.due = std::max(target.due, earliest);
  step.until = std::max(step.until, step.last_closing());
}

std::optional<Diagnostic> unfiltered_outside(const Given& given, const RigTimeline& rig,
                                             const RigStep& step) {
  const auto& window = *rig.window;
  if (step.first_opening() < window.usable_from) {
    return error_at(
        step.mark, "filter-still-on",
        fmt::format("\"{}\" would open its first shutter on {} at {}, when the filter may still be on",
                    step.name, rig.name, relative_text(step.first_opening(), given.sky)),
        fmt::format("start at {} or later (the filter starts coming off at {})",
                    relative_text(window.usable_from, given.sky, Rounding::later),
                    relative_text(window.opens, given.sky)));
  }
  if (step.last_closing() > window.usable_until) {
    return error_at(
        step.mark, "filter-back-on",
        fmt::format("\"{}\" would close its last shutter on {} at {}, when the filter must go back on",
                    step.name, rig.name, relative_text(step.last_closing(), given.sky)),
        fmt::format("end at {} or earlier (the filter is back on at {})",
                    relative_text(window.usable_until, given.sky, Rounding::earlier),
                    relative_text(window.closes, given.sky)));
  }
  return {};
}

/// The instant of the first frame or set that isn't clear of the window.
std::optional<Utc> frame_in_window(const RigStep& step, const FilterWindow& window) {
  if (step.back_to_back) {
    if (step.until <= window.opens || step.from >= window.closes) return {};
    return std::max(step.from, window.opens);
  }
  for (const auto& target : step.targets) {
    const auto closed = target.due + step.shapes[target.shape].lasts;
    if (closed > window.opens && target.due < window.closes) return target.due;
  }
  return {};
}

std::optional<Diagnostic> filtered_inside(const Given& given, const RigTimeline& rig, const RigStep& step) {
  const auto met = frame_in_window(step, *rig.window);
  if (!met) return {};
  return error_at(
      step.mark, "filter-coming-off",
      fmt::format("\"{}\" needs the filter on, but has a frame on {} at {}, when the filter may be off",
                  step.name, rig.name, relative_text(*met, given.sky)),
      fmt::format("end at {} or earlier, or start at {} or later",
                  relative_text(rig.window->opens, given.sky, Rounding::earlier),
                  relative_text(rig.window->closes, given.sky, Rounding::later)));
}

std::optional<Diagnostic> fit_to_window(const Given& given, const RigTimeline& rig, RigStep& step) {
  const auto& window = *rig.window;
  if (!step.filtered) {
    keep_off_the_edge(step, window.usable_from, jitter_of(rig));
    if (auto outside = unfiltered_outside(given, rig, step)) return outside;
    step.until = std::min(step.until, window.usable_until);
    return {};
  }
  keep_off_the_edge(step, window.closes, jitter_of(rig));
  if (auto inside = filtered_inside(given, rig, step)) return inside;
  if (step.last_closing() <= window.opens) step.until = std::min(step.until, window.opens);
  return {};
}

}  // namespace

Objections fit_to_windows(const Given& given, Timeline& timeline) {
  return object_to_steps(timeline, [&](std::size_t r, RigStep& step) {
    const auto& rig = timeline.rigs[r];
    return rig.window ? fit_to_window(given, rig, step) : std::nullopt;
  });
}

}  // namespace noonfall::timeline
