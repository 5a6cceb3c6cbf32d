// The safety of any plan under any sky, not only planned but shot: on bodies of any luck and pace.
#include <set>

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "lib/timeline/build.h"
#include "tests/unit/rehearse/plan_fixture.h"
#include "tests/unit/timeline/any_plan.h"

using namespace noonfall;
using namespace noonfall::sim;

namespace {

void assert_filter_kept(const timeline::RigTimeline& rig, const RecordedFrame& frame) {
  const auto& step = rig.steps.at(static_cast<std::size_t>(frame.id.step));
  if (!rig.has_filter) return;
  const auto& window = rig.window;
  const bool kept =
      step.filtered ? !window || frame.closed <= window->opens || frame.opened >= window->closes
                    : window && frame.opened >= window->usable_from && frame.closed <= window->usable_until;
  RC_ASSERT(kept);
}

}  // namespace

TEST_CASE(
    "any plan, any sky, any body: a filter off the lens means a frame inside the window, and all frames are "
    "told") {
  int shot = 0;
  const auto holds = [&] {
    const auto sky = timeline::tests::any_sky();
    const auto plan = timeline::tests::any_plan();
    const auto strictness =
        *rc::gen::element(timeline::Strictness::plan_check, timeline::Strictness::on_the_day);
    auto built = timeline::build(plan, sky, timeline::tests::any_bodies(), {}, strictness);
    // A plan that is refused is never shot; one of tens of thousands of frames proves nothing more.
    if (!built.timeline || built.timeline->predicted_frames() > 2'000) return;
    RehearsalSetup setup;
    setup.timeline = std::move(*built.timeline);
    setup.seed = *rc::gen::arbitrary<std::uint64_t>();
    setup.detune = 0.7 + 0.1 * *rc::gen::inRange(0, 7);
    const auto rehearsed = rehearse(setup);
    for (std::size_t n = 0; n < setup.timeline.rigs.size(); ++n) {
      std::set<order::FrameId> seen;
      for (const auto& frame : rehearsed.taken[n]) {
        RC_ASSERT(seen.insert(frame.id).second);
        assert_filter_kept(setup.timeline.rigs[n], frame);
        ++shot;
      }
    }
    const auto counts = count(rehearsed);
    RC_ASSERT(counts.intents ==
              counts.fired + counts.failed + counts.unknown + counts.cancelled + counts.skipped_of_intended);
  };
  // Few plans made at random can be shot at all, so more are asked for than the usual hundred.
  for (int round = 0; round < 20; ++round) CHECK(rc::check(holds));
  MESSAGE(shot << " frames were shot");
  CHECK(shot > 0);
}
