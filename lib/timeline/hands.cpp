// When a person is at a rig.
#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/contacts/sky_track.h"
#include "lib/plan/resolve.h"
#include "lib/timeline/left_out.h"
#include "lib/timeline/relative_text.h"
#include "lib/timeline/steps.h"

namespace noonfall::timeline {
namespace {

/// One span, or as many as fit.
std::vector<contacts::TimeSpan> repeated(const plan::HandsOn& hands, Utc from, Utc until) {
  if (!hands.every) return {{from, until}};
  std::vector<contacts::TimeSpan> spans;
  for (Duration away{}; from + away + hands.lasts <= until; away += *hands.every) {
    const auto begins = hands.counted_from_end ? until - away - hands.lasts : from + away;
    spans.push_back({begins, begins + hands.lasts});
  }
  if (hands.counted_from_end) std::ranges::reverse(spans);
  return spans;
}

/// Only what comes after the span can be aimed for.
std::optional<Utc> aim_of(const Given& given, const std::string& name, const plan::HandsOn& hands, Utc until,
                          Diagnostics& findings) {
  if (!hands.aim) return {};
  const auto aim = plan::resolve(*hands.aim, given.sky);
  if (!aim || *aim > until) return aim;
  findings.push_back(
      warning_at(hands.aim->mark, "aim-past",
                 fmt::format("\"{}\": aims for {}, which is over when the hands are off at {}", name,
                             relative_text(*aim, given.sky), relative_text(until, given.sky)),
                 "an instant after `until`; without `aim` it is the middle of the frames that follow"));
  return {};
}

void add_spans(const Given& given, std::size_t plan_step, const plan::HandsOn& hands, Timeline& timeline,
               Diagnostics& findings) {
  const auto& step = given.plan.steps[plan_step];
  const auto from = plan::resolve(hands.from, given.sky);  // there is one: why_left_out was asked
  const auto until = plan::resolve(hands.until, given.sky);
  for (const auto& [instant, written] : {std::pair{*from, hands.from}, std::pair{*until, hands.until}}) {
    auto far = far_from_eclipse(instant, written.mark, step.name, given.sky);
    if (far) return findings.push_back(std::move(*far));
  }
  if (*from >= *until) {
    auto empty = empty_span(*from, *until, hands.until.mark, step.name, given.sky);
    if (given.strictness == Strictness::on_the_day) {
      empty.severity = Severity::warning;
      timeline.skipped.push_back({step.name, "", empty.message});
    }
    findings.push_back(std::move(empty));
    return;
  }
  const auto aim = aim_of(given, step.name, hands, *until, findings);
  for (const auto& [begins, ends] : repeated(hands, *from, *until)) {
    for (std::size_t l = 0; l < timeline.rigs.size(); ++l) {
      if (!is_for(step, timeline.rigs[l].name)) continue;
      timeline.hands_on.push_back({l, plan_step, step.name, step.mark, begins, ends, aim});
    }
  }
}

}  // namespace

void make_hands_on_spans(const Given& given, Timeline& timeline, Diagnostics& findings) {
  for (std::size_t s = 0; s < given.plan.steps.size(); ++s) {
    const auto& step = given.plan.steps[s];
    const auto* hands = std::get_if<plan::HandsOn>(&step.what);
    if (hands == nullptr) continue;
    if (const auto left_out = why_left_out(step, given.sky)) {
      timeline.skipped.push_back(
          {step.name, step.all_rigs ? "" : fmt::format("{}", fmt::join(step.rigs, ", ")), *left_out});
      continue;
    }
    add_spans(given, s, *hands, timeline, findings);
  }
}

}  // namespace noonfall::timeline
