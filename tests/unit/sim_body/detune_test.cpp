#include <doctest/doctest.h>

#include "lib/body/model.h"
#include "sim/body/detune.h"
#include "tests/unit/sim_body/sample_body.h"

namespace noonfall::sim {

TEST_CASE("a detuned body scales its own times and leaves the exposure alone") {
  struct Row {
    double factor;
    Duration settings;  // shutter and aperture
    Duration lag;
    Duration release;   // lag + 1/8 s + readout
    Duration interval;  // 1/8 s + what isn't exposure
    Duration burst;     // the same in a burst
    Duration busy;
    Duration drain;
    Duration reopen;
  };
  const Row rows[] = {
      {0.7, 49ms, 42ms, 42ms + 125ms + 56ms, 317'500us, 142'500us, 3'500us, 21ms, 1050ms},
      {1.0, 70ms, 60ms, 60ms + 125ms + 80ms, 400ms, 150ms, 5ms, 30ms, 1500ms},
      {1.3, 91ms, 78ms, 78ms + 125ms + 104ms, 482'500us, 157'500us, 6'500us, 39ms, 1950ms},
  };
  for (const auto& row : rows) {
    CAPTURE(row.factor);
    auto setup = round_setup();
    setup.detune = row.factor;

    SimulatedBody body(setup);
    CHECK(body.answer(rig::SettingsCall{{quarter, FNumber{56}, Iso{100}}}, noon).at - noon == row.settings);
    CHECK(body.answer(rig::DrainCall{}, noon).at - noon == row.drain);
    CHECK(body.answer(rig::ReopenCall{}, noon).at - noon == row.reopen);

    Ready single(setup, eighth);
    const Utc released = noon + 1s;
    const auto first = single.body.answer(frames(1, 1), released);
    CHECK(first.frames.at(0).opened - released == row.lag);
    CHECK(first.at - released == row.release);
    const auto early = single.body.answer(frames(2, 1), released + row.interval - 1us);
    CHECK(early.answer == Answer::busy);
    CHECK(early.at - (released + row.interval - 1us) == row.busy);
    CHECK(single.body.answer(frames(2, 1), released + row.interval).answer == Answer::ok);

    Ready continuous(setup, eighth, Drive::continuous);
    const auto burst = continuous.body.answer(frames(1, 2), released);
    CHECK(burst.frames.at(1).opened - burst.frames.at(0).opened == row.burst);
  }
}

TEST_CASE("however fast the body, no frame interval is shorter than its exposure") {
  const auto quick = detuned(round_profile(), 0.7);
  CHECK(body::frame_interval(quick, Drive::single, {30, 1}) == 32s + 210ms);  // 1/30 s scale: "30 s" is 32 s
  CHECK(body::frame_interval(quick, Drive::single, two_seconds) == 2s + 210ms);
}

TEST_CASE("a slower body takes longer for the same megabytes") {
  CHECK(detuned(round_profile(), 1.25).write_rate.value == doctest::Approx(80));
  CHECK(detuned(round_profile(), 1.25).buffer == round_profile().buffer);
}

}  // namespace noonfall::sim
