#include "lib/timeline/hands_on.h"

#include <fmt/format.h>

#include "lib/plan/resolve.h"
#include "lib/timeline/left_out.h"
#include "lib/timeline/relative_text.h"
#include "lib/timeline/steps.h"

namespace noonfall::timeline {
namespace {

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
    auto empty = error_at(hands.until.mark, "empty-span",
                          fmt::format("\"{}\": begins at {} but ends at {}", step.name,
                                      relative_text(*from, given.sky), relative_text(*until, given.sky)),
                          "`from` before `until`");
    if (given.strictness == Strictness::on_the_day) {
      empty.severity = Severity::warning;
      timeline.skipped.push_back({step.name, "", empty.message});
    }
    findings.push_back(std::move(empty));
    return;
  }
  for (std::size_t l = 0; l < timeline.rigs.size(); ++l) {
    if (!is_for(step, timeline.rigs[l].name)) continue;
    timeline.hands_on.push_back({l, plan_step, step.name, step.mark, *from, *until});
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
