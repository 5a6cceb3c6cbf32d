// Whatever the plan, the sky and the bodies, nonsense included: a timeline that is made keeps the rules of
// safety.
#include <algorithm>

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cstdlib>

#include "tests/unit/timeline/any_plan.h"

namespace noonfall::timeline {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;
using contacts::Kind;

Duration jitter_of(const RigTimeline& planned) {
  return planned.by_hand ? Duration{} : planned.profile.release.jitter;
}

void check_window(const contacts::Circumstances& sky, const RigTimeline& planned, const plan::Rig& rig) {
  if (!planned.window) return;
  RC_ASSERT(sky.kind == Kind::total);
  RC_ASSERT(std::any_of(planned.steps.begin(), planned.steps.end(),
                        [](const RigStep& step) { return !step.filtered; }));
  const auto& c2 = *sky.at(ContactName::c2);
  const auto& c3 = *sky.at(ContactName::c3);
  RC_ASSERT(c3.utc - c2.utc > c2.uncertainty + c3.uncertainty + 200ms);
  RC_ASSERT(planned.window->opens >= c2.utc + c2.uncertainty + 100ms - 60s);
  RC_ASSERT(planned.window->closes <= c3.utc - c3.uncertainty - 100ms + 60s);
  RC_ASSERT(planned.window->usable_from == planned.window->opens + rig.filter->handling);
  RC_ASSERT(planned.window->usable_until == planned.window->closes - rig.filter->handling);
  RC_ASSERT(planned.window->usable_from < planned.window->usable_until);
}

void check_unfiltered(const RigTimeline& planned, const RigStep& step) {
  RC_ASSERT(planned.window.has_value());
  RC_ASSERT(step.from - jitter_of(planned) >= planned.window->usable_from || !step.back_to_back);
  RC_ASSERT(step.until <= planned.window->usable_until);
  for (const auto& target : step.targets) {
    RC_ASSERT(target.due - jitter_of(planned) >= planned.window->usable_from);
    RC_ASSERT(target.due + step.shapes[target.shape].lasts <= planned.window->usable_until);
  }
}

void check_filtered(const RigTimeline& planned, const RigStep& step) {
  if (!planned.window) return;
  if (step.back_to_back)
    RC_ASSERT(step.until <= planned.window->opens || step.from >= planned.window->closes);
  for (const auto& target : step.targets) {
    RC_ASSERT(target.due + step.shapes[target.shape].lasts <= planned.window->opens ||
              target.due - jitter_of(planned) >= planned.window->closes);
  }
}

void check_times(const RigStep& step) {
  RC_ASSERT(step.from < step.until);
  RC_ASSERT(step.back_to_back == step.targets.empty());
  RC_ASSERT(std::is_sorted(step.targets.begin(), step.targets.end(),
                           [](const Target& a, const Target& b) { return a.due < b.due; }));
  for (const auto& target : step.targets) {
    RC_ASSERT(target.due >= step.from);
    RC_ASSERT(target.due + step.shapes[target.shape].lasts <= step.until);
  }
}

void check_rig(const RigTimeline& planned) {
  for (std::size_t s = 0; s < planned.steps.size(); ++s) {
    const auto& step = planned.steps[s];
    check_times(step);
    if (s > 0) RC_ASSERT(planned.steps[s - 1].until <= step.from);
    if (planned.has_filter && step.filtered) check_filtered(planned, step);
    if (planned.has_filter && !step.filtered) check_unfiltered(planned, step);
    RC_ASSERT(step.filtered ==
              (planned.has_filter && step.subject.kind == exposure::SubjectKind::photosphere));
  }
}

/// No two handlings of filters at once.
void check_one_operator(const Timeline& timeline) {
  std::vector<std::pair<Utc, Utc>> handlings;
  for (const auto& planned : timeline.rigs) {
    if (!planned.window) continue;
    handlings.emplace_back(planned.window->opens, planned.window->usable_from);
    handlings.emplace_back(planned.window->usable_until, planned.window->closes);
  }
  std::sort(handlings.begin(), handlings.end());
  for (std::size_t i = 1; i < handlings.size(); ++i) RC_ASSERT(handlings[i - 1].second <= handlings[i].first);
}

void check_bare_lens(const contacts::Circumstances& sky, const RigTimeline& planned, const plan::Rig& rig) {
  if (rig.filter) return;
  RC_ASSERT(rig.focal_length <= Millimetres{35});
  for (const auto& step : planned.steps) {
    if (!rig.sun_in_frame) {
      RC_ASSERT(step.subject.kind == exposure::SubjectKind::landscape);
      continue;
    }
    RC_ASSERT(step.subject.kind != exposure::SubjectKind::photosphere);
    const bool inside = sky.kind == Kind::total && step.from >= sky.at(ContactName::c2)->utc &&
                        step.until <= sky.at(ContactName::c3)->utc;
    for (const auto& shape : step.shapes)
      for (const auto& frame : shape.exposures) RC_ASSERT(inside || frame.aperture->tenths >= 80);
  }
}

void check_hands(const Timeline& timeline) {
  for (const auto& span : timeline.hands_on) {
    for (const auto& step : timeline.rigs[span.rig].steps) {
      const bool apart = step.until <= span.from || step.from >= span.until;
      const bool pauses = std::ranges::none_of(step.targets, [&](const Target& target) {
        return target.due < span.until && target.due + step.shapes[target.shape].lasts > span.from;
      });
      RC_ASSERT(apart || (!step.back_to_back && pauses));
    }
  }
}

void check_timeline(const contacts::Circumstances& sky, const plan::Plan& plan, const Timeline& timeline) {
  RC_ASSERT(timeline.rigs.size() == plan.rigs.size());
  for (std::size_t l = 0; l < plan.rigs.size(); ++l) {
    check_window(sky, timeline.rigs[l], plan.rigs[l]);
    check_rig(timeline.rigs[l]);
    check_bare_lens(sky, timeline.rigs[l], plan.rigs[l]);
  }
  check_one_operator(timeline);
  check_hands(timeline);
}

}  // namespace

TEST_CASE("whatever is planned, a timeline that is made keeps the rules of safety") {
  const bool as_many_as_usual =
      std::getenv("RC_PARAMS") == nullptr;       // a seed told again, fewer under sanitizers
  ::setenv("RC_PARAMS", "max_success=5000", 0);  // most plans are refused; what is rare must still come up
  int made = 0;
  int windows = 0;
  const bool held = rc::check([&] {
    const auto sky = tests::any_sky();
    const auto plan = tests::any_plan();
    const auto bodies = tests::any_bodies();
    for (const auto strictness : {Strictness::plan_check, Strictness::on_the_day}) {
      const auto built = build(plan, sky, bodies, {}, strictness);
      RC_ASSERT(built.timeline.has_value() == !has_errors(built.findings));
      if (!built.timeline) continue;
      ++made;
      windows += static_cast<int>(
          std::count_if(built.timeline->rigs.begin(), built.timeline->rigs.end(),
                        [](const RigTimeline& planned) { return planned.window.has_value(); }));
      check_timeline(sky, plan, *built.timeline);
    }
  });
  CHECK(held);
  if (!as_many_as_usual) return;
  CHECK(made > 500);  // the generator must not drift into plans that are all refused
  CHECK(windows > 300);
}

}  // namespace noonfall::timeline
