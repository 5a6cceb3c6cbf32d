// One rig does one thing at a time.
#include <algorithm>

#include <fmt/format.h>

#include "lib/body/model.h"
#include "lib/timeline/relative_text.h"
#include "lib/timeline/rules.h"

namespace noonfall::timeline {
namespace {

/// When a step is over if nothing is late: what its `until` holds beyond that, up to its patience, is slack.
Utc nominal_end(const RigStep& step) {
  const auto last = step.last_closing();
  return step.until - last <= step.patience ? last : step.until;
}

Diagnostic steps_meet(const Given& given, const RigTimeline& rig, const RigStep& before,
                      const RigStep& after) {
  return error_at(after.mark, "steps-overlap",
                  fmt::format("\"{}\" begins on {} at {}, but \"{}\" (line {}) goes on until {}", after.name,
                              rig.name, relative_text(after.from, given.sky), before.name, before.mark.line,
                              relative_text(nominal_end(before), given.sky)),
                  "steps of one rig that don't overlap");
}

/// Empty when the body has time enough between the two.
std::optional<Diagnostic> too_close(const RigTimeline& rig, const RigStep& before, const RigStep& after) {
  const auto needed = change_over(rig, before, after);
  const auto late = needed - (after.first_opening() - nominal_end(before));
  if (late <= Duration{}) return {};
  const auto gap =
      fmt::format("at least {} after \"{}\" (line {})", rounded_text(needed), before.name, before.mark.line);
  if (after.back_to_back) {
    if (after.from + late + std::ranges::max_element(after.shapes, {}, &SetShape::lasts)->lasts <=
        after.until)
      return {};
    return error_at(after.mark, "no-time-to-change",
                    fmt::format("\"{}\": {} takes {} to change over, and then no set fits any more",
                                after.name, rig.name, rounded_text(needed)),
                    "a longer span, or a start " + gap);
  }
  const auto words = fmt::format(
      "\"{}\": its first frame on {} would open {} late, since the body takes {} to change "
      "over from \"{}\"",
      after.name, rig.name, rounded_text(late), rounded_text(needed), before.name);
  if (late > after.patience) return error_at(after.mark, "no-time-to-change", words, "a start " + gap);
  return warning_at(after.mark, "late-start", words, "a start " + gap);
}

void check_pair(const Given& given, RigTimeline& rig, std::size_t rig_index, std::size_t later,
                Objections& objections, Diagnostics& findings) {
  auto& before = rig.steps[later - 1];
  const auto& after = rig.steps[later];
  if (after.from < nominal_end(before)) {
    objections.push_back({rig_index, later, steps_meet(given, rig, before, after)});
    return;
  }
  before.until = std::min(before.until, after.from);
  auto close = rig.by_hand ? std::nullopt : too_close(rig, before, after);
  if (!close) return;
  if (close->severity == Severity::warning) {
    findings.push_back(std::move(*close));
  } else {
    objections.push_back({rig_index, later, std::move(*close)});
  }
}

/// No frame is due while somebody is at the rig.
bool pauses_for(const RigStep& step, const HandsOnSpan& span) {
  return !step.back_to_back && std::ranges::none_of(step.targets, [&](const Target& target) {
    return target.due < span.until && target.due + step.shapes[target.shape].lasts > span.from;
  });
}

void check_hands(const Given& given, const HandsOnSpan& span, RigTimeline& rig, Objections& objections) {
  for (std::size_t s = 0; s < rig.steps.size(); ++s) {
    auto& step = rig.steps[s];
    if (nominal_end(step) <= span.from) step.until = std::min(step.until, span.from);
    if (step.from >= span.until || nominal_end(step) <= span.from || pauses_for(step, span)) continue;
    objections.push_back(
        {span.rig, s,
         error_at(step.mark, "hands-overlap",
                  fmt::format(
                      "\"{}\" shoots on {} from {} to {}, while \"{}\" (line {}) has somebody's hands on it "
                      "from {} to {}",
                      step.name, rig.name, relative_text(step.from, given.sky),
                      relative_text(nominal_end(step), given.sky), span.name, span.mark.line,
                      relative_text(span.from, given.sky), relative_text(span.until, given.sky)),
                  "no frames while a person is at the rig")});
  }
}

bool cut(RigStep& step, Utc end) {
  step.until = std::min(step.until, end);
  if (step.back_to_back) return step.from + step.shapes.front().lasts <= step.until;
  std::erase_if(step.targets,
                [&](const Target& target) { return target.due + step.shapes[target.shape].lasts > end; });
  step.predicted_sets = static_cast<int>(step.targets.size());
  return !step.targets.empty();
}

}  // namespace

Duration change_over(const RigTimeline& rig, const RigStep& before, const RigStep& after) {
  const auto& last = before.targets.empty() ? before.shapes.back().exposures.back()
                                            : before.shapes[before.targets.back().shape].exposures.back();
  const auto& first = after.targets.empty() ? after.shapes.front().exposures.front()
                                            : after.shapes[after.targets.front().shape].exposures.front();
  return rig.profile.readout + body::setting_time(rig.profile, &last, first) +
         body::drive_change_time(rig.profile, before.drive, after.drive) + rig.profile.release.typical;
}

Objections check_overlaps(const Given& given, Timeline& timeline, Diagnostics& findings) {
  Objections objections;
  for (std::size_t l = 0; l < timeline.rigs.size(); ++l) {
    for (std::size_t s = 1; s < timeline.rigs[l].steps.size(); ++s)
      check_pair(given, timeline.rigs[l], l, s, objections, findings);
  }
  for (const auto& span : timeline.hands_on) check_hands(given, span, timeline.rigs[span.rig], objections);
  return objections;
}

void trim_overlaps(const Given& given, Timeline& timeline, Diagnostics& warnings) {
  for (auto& rig : timeline.rigs) {
    for (std::size_t s = 1; s < rig.steps.size();) {
      auto& before = rig.steps[s - 1];
      const auto& after = rig.steps[s];
      if (after.from >= nominal_end(before)) {
        ++s;
        continue;
      }
      const auto words = fmt::format("\"{}\" ends on {} at {}, where \"{}\" begins", before.name, rig.name,
                                     relative_text(after.from, given.sky), after.name);
      warnings.push_back(warning_at(before.mark, "cut-short", words));
      if (cut(before, after.from)) {
        ++s;
        continue;
      }
      timeline.skipped.push_back({before.name, rig.name, words + ", which leaves no time for it"});
      rig.steps.erase(rig.steps.begin() + static_cast<std::ptrdiff_t>(s - 1));
      s = std::max<std::size_t>(s - 1, 1);
    }
  }
}

}  // namespace noonfall::timeline
