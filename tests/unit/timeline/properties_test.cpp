// Whatever the plan, the sky and the bodies, nonsense included: a timeline that is made keeps the rules of
// safety.
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

Duration jitter_of(const Lane& lane) {
  return lane.by_hand ? Duration{} : lane.profile.release.jitter;
}

void check_window(const contacts::Circumstances& sky, const Lane& lane, const plan::Rig& rig) {
  if (!lane.window) return;
  RC_ASSERT(sky.kind == Kind::total);
  RC_ASSERT(
      std::any_of(lane.steps.begin(), lane.steps.end(), [](const RigStep& step) { return !step.filtered; }));
  const auto& c2 = *sky.at(ContactName::c2);
  const auto& c3 = *sky.at(ContactName::c3);
  RC_ASSERT(c3.utc - c2.utc > c2.uncertainty + c3.uncertainty + 200ms);
  RC_ASSERT(lane.window->opens >= c2.utc + c2.uncertainty + 100ms - 60s);
  RC_ASSERT(lane.window->closes <= c3.utc - c3.uncertainty - 100ms + 60s);
  RC_ASSERT(lane.window->usable_from == lane.window->opens + rig.filter->handling);
  RC_ASSERT(lane.window->usable_until == lane.window->closes - rig.filter->handling);
  RC_ASSERT(lane.window->usable_from < lane.window->usable_until);
}

void check_unfiltered(const Lane& lane, const RigStep& step) {
  RC_ASSERT(lane.window.has_value());
  RC_ASSERT(step.from - jitter_of(lane) >= lane.window->usable_from || !step.back_to_back);
  RC_ASSERT(step.until <= lane.window->usable_until);
  for (const auto& target : step.targets) {
    RC_ASSERT(target.due - jitter_of(lane) >= lane.window->usable_from);
    RC_ASSERT(target.due + step.shapes[target.shape].lasts <= lane.window->usable_until);
  }
}

void check_filtered(const Lane& lane, const RigStep& step) {
  if (!lane.window) return;
  if (step.back_to_back) RC_ASSERT(step.until <= lane.window->opens || step.from >= lane.window->closes);
  for (const auto& target : step.targets) {
    RC_ASSERT(target.due + step.shapes[target.shape].lasts <= lane.window->opens ||
              target.due - jitter_of(lane) >= lane.window->closes);
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

void check_lane(const Lane& lane) {
  for (std::size_t s = 0; s < lane.steps.size(); ++s) {
    const auto& step = lane.steps[s];
    check_times(step);
    if (s > 0) RC_ASSERT(lane.steps[s - 1].until <= step.from);
    if (lane.has_filter && step.filtered) check_filtered(lane, step);
    if (lane.has_filter && !step.filtered) check_unfiltered(lane, step);
    RC_ASSERT(step.filtered == (lane.has_filter && step.subject.kind == exposure::SubjectKind::photosphere));
  }
}

/// No two handlings of filters at once.
void check_one_operator(const Timeline& timeline) {
  std::vector<std::pair<Utc, Utc>> handlings;
  for (const auto& lane : timeline.lanes) {
    if (!lane.window) continue;
    handlings.emplace_back(lane.window->opens, lane.window->usable_from);
    handlings.emplace_back(lane.window->usable_until, lane.window->closes);
  }
  std::sort(handlings.begin(), handlings.end());
  for (std::size_t i = 1; i < handlings.size(); ++i) RC_ASSERT(handlings[i - 1].second <= handlings[i].first);
}

void check_bare_lens(const contacts::Circumstances& sky, const Lane& lane, const plan::Rig& rig) {
  if (rig.filter) return;
  RC_ASSERT(rig.focal_length <= Millimetres{35});
  for (const auto& step : lane.steps) {
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
    for (const auto& step : timeline.lanes[span.lane].steps)
      RC_ASSERT(step.until <= span.from || step.from >= span.until);
  }
}

void check_timeline(const contacts::Circumstances& sky, const plan::Plan& plan, const Timeline& timeline) {
  RC_ASSERT(timeline.lanes.size() == plan.rigs.size());
  for (std::size_t l = 0; l < plan.rigs.size(); ++l) {
    check_window(sky, timeline.lanes[l], plan.rigs[l]);
    check_lane(timeline.lanes[l]);
    check_bare_lens(sky, timeline.lanes[l], plan.rigs[l]);
  }
  check_one_operator(timeline);
  check_hands(timeline);
}

}  // namespace

TEST_CASE("whatever is planned, a timeline that is made keeps the rules of safety") {
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
      windows += static_cast<int>(std::count_if(built.timeline->lanes.begin(), built.timeline->lanes.end(),
                                                [](const Lane& lane) { return lane.window.has_value(); }));
      check_timeline(sky, plan, *built.timeline);
    }
  });
  CHECK(held);
  CHECK(made > 500);  // the generator must not drift into plans that are all refused
  CHECK(windows > 300);
}

}  // namespace noonfall::timeline
