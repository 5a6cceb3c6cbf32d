// What the body can hold and do: its card and battery against the frames planned, its lag against their
// instants.

#include <fmt/format.h>

#include "lib/body/model.h"
#include "lib/time/duration_text.h"
#include "lib/timeline/relative_text.h"
#include "lib/timeline/rules.h"

namespace noonfall::timeline {
namespace {

constexpr double usable_share_of_card = 0.95;

/// In whole milliseconds, upwards: enough is enough then.
std::string at_least(Duration span) {
  return noonfall::to_text(Duration{std::chrono::ceil<std::chrono::milliseconds>(span)});
}

std::optional<Diagnostic> too_little_room(const Given& given, const RigTimeline& rig, const RigStep& step) {
  const auto lag = body::trusted_lag(rig.profile.release);
  const auto needed = lag.most - lag.least;
  if (step.back_to_back || step.targets.empty()) return {};
  if (step.patience < needed) {
    return error_at(
        step.mark, "patience-too-short",
        fmt::format("\"{}\": a shutter of {} may open {} after its instant, and its patience is {}",
                    step.name, rig.name, at_least(needed), noonfall::to_text(step.patience)),
        fmt::format("a patience of {} or more", at_least(needed)));
  }
  const auto left = step.until - step.last_closing();
  if (left >= needed) return {};
  return error_at(step.mark, "no-room-for-lag",
                  fmt::format("\"{}\": a shutter of {} may open {} after its instant, and then its last one "
                              "wouldn't be closed by {}",
                              step.name, rig.name, at_least(needed), relative_text(step.until, given.sky)),
                  fmt::format("instants {} or more earlier, or a shorter exposure", at_least(needed - left)));
}

}  // namespace

Objections check_release_room(const Given& given, const Timeline& timeline) {
  return object_to_steps(timeline, [&](std::size_t r, const RigStep& step) {
    const auto& rig = timeline.rigs[r];
    return rig.by_hand ? std::nullopt : too_little_room(given, rig, step);
  });
}

void check_totals(const Given& given, const Timeline& timeline, Diagnostics& findings) {
  for (std::size_t l = 0; l < timeline.rigs.size(); ++l) {
    const auto& planned = timeline.rigs[l];
    if (planned.by_hand) continue;
    const auto mark = given.plan.rigs[l].mark;
    const int frames = planned.predicted_frames();
    const double files_mb = frames * body::frame_size(planned.profile, planned.files).value;
    const double room_mb = planned.profile.card.value * usable_share_of_card;
    if (files_mb > room_mb) {
      findings.push_back(
          error_at(mark, "card-too-small",
                   fmt::format("{} frames of {} are about {:.0f} MB, and 95 % of its card are {:.0f} MB",
                               frames, planned.name, files_mb, room_mb),
                   "fewer frames, smaller files, or a larger card in the body profile"));
    }
    if (planned.profile.battery_frames > 0 && frames > planned.profile.battery_frames) {
      findings.push_back(warning_at(mark, "battery-too-small",
                                    fmt::format("{} frames of {} are more than the {} of a full battery",
                                                frames, planned.name, planned.profile.battery_frames),
                                    "mains power, or a change of battery in a hands-on span"));
    }
  }
}

}  // namespace noonfall::timeline
