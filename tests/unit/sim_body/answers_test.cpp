// Every state a body can be in against every call it can get.
#include <doctest/doctest.h>

#include <functional>
#include <string>

#include "tests/unit/sim_body/sample_body.h"

namespace noonfall::sim {
namespace {

enum class State { ready, exposing, too_soon, buffer_full, card_full, gone, back, flat };
enum class Call { settings, single, burst, drain, reopen };

/// The body in that state, in the drive the call needs.
Ready brought_to(State state, Drive drive) {
  auto setup = round_setup();
  auto shutter = eighth;
  switch (state) {
    case State::ready:
      break;
    case State::exposing:
      shutter = two_seconds;
      break;
    case State::too_soon:
      setup.profile.continuous = setup.profile.single;
      break;
    case State::buffer_full:
      setup.profile.write_rate = {0.01};
      setup.profile.buffer = {30};
      break;
    case State::card_full:
      setup.profile.card = {59};
      break;
    case State::gone:
    case State::back:
      setup.faults = {{noon + 2s, noon + 12s, {}, BodyGone{}}};
      break;
    case State::flat:
      setup.profile.battery_frames = 1;
      break;
  }
  Ready ready(setup, shutter, drive);
  if (state == State::gone) return ready.now = noon + 3s, ready;
  if (state == State::back) return ready.now = noon + 30s, ready;
  if (state == State::ready) return ready.now = noon + 10s, ready;
  const Utc released = ready.now = noon + 1s;
  REQUIRE(ready.call(frames(1, 1)).frames.size() == 1);
  if (state == State::exposing) ready.now = released + 1s;
  if (state == State::too_soon) ready.now = released + 300ms;
  if (state == State::buffer_full || state == State::card_full) ready.now = released + 10s;
  return ready;
}

struct Row {
  State state;
  Call call;
  Answer answer;
  Duration after;
  std::string why;
  std::size_t frames = 0;
};

const Row rows[] = {
    {State::ready, Call::settings, Answer::ok, 40ms, ""},
    {State::ready, Call::single, Answer::ok, 60ms + 125ms + 80ms, "", 1},
    {State::ready, Call::burst, Answer::ok, 60ms + 2 * 150ms + 125ms + 80ms, "", 3},
    {State::ready, Call::drain, Answer::ok, 30ms, ""},
    {State::ready, Call::reopen, Answer::ok, 1500ms, ""},

    {State::exposing, Call::settings, Answer::busy, 5ms, "the frame before isn't done"},
    {State::exposing, Call::single, Answer::busy, 5ms, "the frame before isn't done"},
    {State::exposing, Call::burst, Answer::busy, 5ms, "the frame before isn't done"},
    {State::exposing, Call::drain, Answer::ok, 60ms + 2s + 80ms - 1s + 30ms, ""},
    {State::exposing, Call::reopen, Answer::ok, 1500ms, ""},

    {State::too_soon, Call::settings, Answer::ok, 40ms, ""},
    {State::too_soon, Call::single, Answer::busy, 5ms, "the shutter isn't ready for the next frame"},
    {State::too_soon, Call::burst, Answer::busy, 5ms, "the shutter isn't ready for the next frame"},
    {State::too_soon, Call::drain, Answer::ok, 30ms, ""},
    {State::too_soon, Call::reopen, Answer::ok, 1500ms, ""},

    {State::buffer_full, Call::settings, Answer::ok, 40ms, ""},
    {State::buffer_full, Call::single, Answer::busy, 5ms, "the buffer is full"},
    {State::buffer_full, Call::burst, Answer::busy, 5ms, "the buffer is full"},
    {State::buffer_full, Call::drain, Answer::ok, 30ms, ""},
    {State::buffer_full, Call::reopen, Answer::ok, 1500ms, ""},

    {State::card_full, Call::settings, Answer::ok, 40ms, ""},
    {State::card_full, Call::single, Answer::refused, 5ms, "card full"},
    {State::card_full, Call::burst, Answer::refused, 5ms, "card full"},
    {State::card_full, Call::drain, Answer::ok, 30ms, ""},
    {State::card_full, Call::reopen, Answer::ok, 1500ms, ""},

    {State::gone, Call::settings, Answer::gone, 2s, "the body is off the line"},
    {State::gone, Call::single, Answer::gone, 2s, "the body is off the line"},
    {State::gone, Call::burst, Answer::gone, 2s, "the body is off the line"},
    {State::gone, Call::drain, Answer::gone, 2s, "the body is off the line"},
    {State::gone, Call::reopen, Answer::gone, 1500ms, "the body is off the line"},

    {State::back, Call::settings, Answer::gone, 5ms, "the body is off the line"},
    {State::back, Call::single, Answer::gone, 5ms, "the body is off the line"},
    {State::back, Call::burst, Answer::gone, 5ms, "the body is off the line"},
    {State::back, Call::drain, Answer::gone, 5ms, "the body is off the line"},
    {State::back, Call::reopen, Answer::ok, 1500ms, ""},

    {State::flat, Call::settings, Answer::gone, 2s, "the battery is empty"},
    {State::flat, Call::single, Answer::gone, 2s, "the battery is empty"},
    {State::flat, Call::burst, Answer::gone, 2s, "the battery is empty"},
    {State::flat, Call::drain, Answer::gone, 2s, "the battery is empty"},
    {State::flat, Call::reopen, Answer::gone, 1500ms, "the battery is empty"},
};

DeviceAnswer answered(Ready& ready, Call call) {
  switch (call) {
    case Call::settings:
      return ready.call(settings(quarter));
    case Call::single:
      return ready.call(frames(2, 1));
    case Call::burst:
      return ready.call(frames(2, 3));
    case Call::drain:
      return ready.call(rig::DrainCall{});
    case Call::reopen:
      break;
  }
  return ready.call(rig::ReopenCall{});
}

}  // namespace

TEST_CASE("every call has its answer in every state") {
  for (const auto& row : rows) {
    CAPTURE(static_cast<int>(row.state));
    CAPTURE(static_cast<int>(row.call));
    auto ready = brought_to(row.state, row.call == Call::burst ? Drive::continuous : Drive::single);
    const auto taken_before = ready.body.taken().size();
    const Utc asked = ready.now;
    const auto answer = answered(ready, row.call);
    CHECK(answer.answer == row.answer);
    CHECK(answer.at - asked == row.after);
    CHECK(answer.why == row.why);
    CHECK(answer.frames.size() == row.frames);
    CHECK(ready.body.taken().size() - taken_before == row.frames);
    if (row.call == Call::single || row.call == Call::burst) CHECK(answer.released == asked);
  }
}

TEST_CASE("a burst ends with the card's last room") {
  auto setup = round_setup();
  setup.profile.card = {100};
  Ready ready(setup, eighth, Drive::continuous);
  CHECK(ready.call(frames(1, 9)).frames.size() == 3);
  CHECK(ready.body.card_free().value == 10);
  CHECK(ready.call(frames(4, 1)).why == "card full");
}

TEST_CASE("a card is full when no frame fits, not before") {
  auto setup = round_setup();
  setup.profile.card = {60};
  Ready ready(setup, eighth, Drive::continuous);
  CHECK(ready.call(frames(1, 9)).frames.size() == 2);
}

TEST_CASE("a burst ends with the battery, and is still answered") {
  auto setup = round_setup();
  setup.profile.battery_frames = 2;
  Ready ready(setup, eighth, Drive::continuous);
  const auto last = ready.call(frames(1, 9));
  CHECK(last.answer == Answer::ok);
  CHECK(last.frames.size() == 2);
  CHECK(ready.body.battery_frames_left() == 0);
  CHECK(ready.call(frames(3, 1)).answer == Answer::gone);
}

}  // namespace noonfall::sim
