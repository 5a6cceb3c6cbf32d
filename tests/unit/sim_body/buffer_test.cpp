#include <doctest/doctest.h>

#include <cmath>

#include "sim/body/card_clock.h"
#include "tests/unit/sim_body/sample_body.h"

namespace noonfall::sim {
namespace {

/// How many frames a burst without end gets open within `span` of its first one.
int frames_within(Duration span, std::vector<Fault> faults = {}, double detune = 1) {
  auto setup = round_setup(std::move(faults));
  setup.detune = detune;
  Ready ready(setup, eighth, Drive::continuous);
  const Utc released = noon + 1s;
  const auto first = released + 60ms;
  const auto answer = ready.body.answer(frames(1, 2000, first + span), released);
  return static_cast<int>(answer.frames.size());
}

/// What the buffer held, and what the card takes from the first closing on, in frames of 30 MB.
int by_write_rate(Duration span, double rate_mb) {
  return static_cast<int>(10 + rate_mb * in_seconds(span - 125ms) / 30);
}

}  // namespace

TEST_CASE("a burst that outruns the card goes on at the card's pace, within a frame") {
  for (const auto span : {10s, 60s}) {
    CHECK(std::abs(frames_within(span) - by_write_rate(span, 100)) <= 1);
    CHECK(std::abs(frames_within(span, {}, 2.0) - by_write_rate(span, 50)) <= 1);
  }
}

TEST_CASE("while the buffer has room a burst keeps its interval") {
  // At the n-th opening 30 n MB have come and 15 n - 12.5 MB have gone: room for one more up to n = 17.
  Ready ready(round_setup(), eighth, Drive::continuous);
  const auto burst = ready.call(frames(1, 19)).frames;
  REQUIRE(burst.size() == 19);
  CHECK(burst[17].opened - burst[0].opened == 17 * 150ms);
  CHECK(burst[18].opened - burst[17].opened > 150ms);
}

TEST_CASE("a single release that finds no room is busy until there is some") {
  auto setup = round_setup();
  setup.profile.write_rate = {1};  // a frame in 30 s
  Ready ready(setup, eighth, Drive::continuous);
  const auto burst = ready.call(frames(1, 10));
  REQUIRE(burst.frames.size() == 10);
  (void)ready.call(settings(eighth));
  const auto busy = ready.call(frames(11, 1));
  CHECK(busy.answer == Answer::busy);
  CHECK(busy.why == "the buffer is full");
  const Utc room = burst.frames[0].closed + 30s;
  CHECK(ready.body.answer(frames(11, 1), room - 60ms - 1ms).answer == Answer::busy);
  CHECK(ready.body.answer(frames(11, 1), room - 60ms + 1ms).answer == Answer::ok);
}

TEST_CASE("a slow card lowers the pace within its span only") {
  const std::vector<Fault> always{{noon - 1h, noon + 1h, {}, SlowCard{0.3}}};
  CHECK(std::abs(frames_within(60s, always) - by_write_rate(60s, 30)) <= 1);

  const std::vector<Fault> some{{noon + 10s, noon + 20s, {}, SlowCard{0.25}}};
  CHECK(std::abs(frames_within(60s, some) - by_write_rate(60s - 7500ms, 100)) <= 1);

  const std::vector<Fault> over{{noon - 2h, noon - 1h, {}, SlowCard{0.25}}};
  CHECK(frames_within(60s, over) == frames_within(60s));
}

TEST_CASE("where slow spans overlap the slowest counts") {
  const CardClock clock({{noon, noon + 10s, {}, SlowCard{0.5}}, {noon + 4s, noon + 20s, {}, SlowCard{0.25}}});
  CHECK(clock.card_time(noon - 1s) == noon - 1s);
  CHECK(clock.card_time(noon + 4s) == noon + 2s);
  CHECK(clock.card_time(noon + 20s) == noon + 6s);
  CHECK(clock.card_time(noon + 21s) == noon + 7s);
  for (int s = -2; s < 30; ++s) {
    const auto card = clock.card_time(noon + s * 1s);
    CHECK(clock.utc(card) == noon + s * 1s);
  }
  CHECK(clock.utc(Utc::max()) == Utc::max());
}

}  // namespace noonfall::sim
