#include "lib/report/frames.h"

namespace noonfall::report {
namespace {

std::optional<shotlog::PlannedWindow> window_of(const shotlog::Header& header,
                                                const shotlog::FrameName& frame) {
  for (const auto& rig : header.rigs) {
    if (rig.rig != frame.rig) continue;
    for (const auto& step : rig.steps) {
      if (step.step == frame.step) return step.filtered ? std::nullopt : rig.window;
    }
  }
  return std::nullopt;
}

/// The frame as known so far; its window is that of its first line.
Frame& known(Frames& frames, const shotlog::Header& header, const shotlog::FrameName& name) {
  const auto [at, fresh] = frames.try_emplace(name);
  if (fresh) at->second.window = window_of(header, name);
  return at->second;
}

}  // namespace

void collect(Frames& frames, const shotlog::Header& in_force, const shotlog::Entry& entry) {
  if (const auto* intent = std::get_if<shotlog::Intent>(&entry))
    known(frames, in_force, intent->frame).due = intent->due;
  if (const auto* outcome = std::get_if<shotlog::Outcome>(&entry)) {
    auto& frame = known(frames, in_force, outcome->frame);
    const auto open = from_seconds(exposure::exact_seconds(outcome->exposure.shutter));
    frame = {outcome->result, outcome->due, outcome->opened, open, outcome->why, false, frame.window};
  }
  const auto* skip = std::get_if<shotlog::Skip>(&entry);
  if (skip != nullptr && skip->frame.set > 0) {
    auto& frame = known(frames, in_force, skip->frame);
    frame = {order::Outcome::skipped,
             skip->due.value_or(Utc{}),
             {},
             {},
             why_of(*skip),
             skip->reason == shotlog::SkipReason::step_over,
             frame.window};
  }
}

}  // namespace noonfall::report
