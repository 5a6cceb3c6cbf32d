// Whatever a host asks, and in whatever order: what holds for every body.
#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <cmath>

#include "lib/body/model.h"
#include "tests/unit/sim_body/sample_body.h"

namespace noonfall::sim {
namespace {

Duration between(Duration low, Duration high) {
  return Duration{*rc::gen::inRange(low.count(), high.count() + 1)};
}

template <class T>
T one_of(const std::vector<T>& values) {
  return *rc::gen::elementOf(values);
}

Fault any_fault() {
  Fault fault;
  fault.from = noon + between(0s, 120s);
  fault.until = fault.from + between(1ms, 20s);
  if (*rc::gen::arbitrary<bool>()) fault.count = *rc::gen::inRange(1, 4);
  fault.effect = one_of<Effect>({BusyReleases{}, RefusedSetting{Setting::shutter}, RefusedSetting{Iso{200}},
                                 LostFrame{LostFrame::Sign::no_word}, LostFrame{LostFrame::Sign::unconfirmed},
                                 BodyGone{}, SlowCard{0.1}});
  if (std::holds_alternative<BodyGone>(fault.effect)) fault.count.reset();
  return fault;
}

BodySetup any_setup() {
  auto setup = round_setup();
  setup.profile.release = {between(5ms, 200ms), between(0ms, 100ms)};
  setup.profile.readout = between(0ms, 300ms);
  setup.profile.buffer = {static_cast<double>(*rc::gen::inRange(10, 600))};
  setup.profile.write_rate = {static_cast<double>(*rc::gen::inRange(1, 300))};
  setup.profile.card = {static_cast<double>(*rc::gen::inRange(0, 1500))};
  setup.profile.battery_frames = *rc::gen::inRange(1, 60);
  setup.seed = *rc::gen::arbitrary<std::uint64_t>();
  setup.detune = one_of<double>({0.7, 1, 1.3});
  setup.files = one_of<body::Files>({body::Files::raw, body::Files::jpeg, body::Files::raw_and_jpeg});
  for (int n = *rc::gen::inRange(0, 4); n > 0; --n) setup.faults.push_back(any_fault());
  return setup;
}

rig::DeviceCall any_call(Utc now, int& next_frame) {
  switch (*rc::gen::inRange(0, 8)) {
    case 0:
      return rig::DrainCall{};
    case 1:
      return rig::ReopenCall{};
    case 2:
    case 3:
      return rig::SettingsCall{
          {one_of(round_profile().choices.shutters), std::nullopt, one_of<Iso>({{100}, {200}})},
          one_of<Drive>({Drive::single, Drive::continuous})};
    case 4: {
      const int count = *rc::gen::inRange(2, 12);
      auto call = frames(next_frame, count, now + between(-1s, 4s));
      next_frame += count;
      return call;
    }
    default:
      return frames(next_frame++, 1, now + between(0s, 4s));
  }
}

struct Asked {
  rig::DeviceCall call;
  Utc now;
  DeviceAnswer answer;
  std::size_t taken_before;
};

struct History {
  BodySetup setup;
  SimulatedBody body;
  std::vector<Asked> asked;
};

/// A host that waits for each answer and then now and then a little longer.
History any_history() {
  auto setup = any_setup();
  History history{setup, SimulatedBody(setup), {}};
  Utc now = noon;
  int next_frame = 1;
  for (int n = *rc::gen::inRange(1, 60); n > 0; --n) {
    const auto call = any_call(now, next_frame);
    const auto before = history.body.taken().size();
    const auto answer = history.body.answer(call, now);
    history.asked.push_back({call, now, answer, before});
    now = answer.at + (*rc::gen::arbitrary<bool>() ? between(0s, 2s) : Duration{});
  }
  return history;
}

}  // namespace

TEST_CASE("no answer comes before its call") {
  CHECK(rc::check([] {
    for (const auto& [call, now, answer, before] : any_history().asked) {
      RC_ASSERT(answer.at >= now);
      RC_ASSERT(answer.why.empty() == (answer.answer == Answer::ok));
    }
  }));
}

TEST_CASE("in a burst no shutter opens after the last instant asked") {
  CHECK(rc::check([] {
    const auto history = any_history();
    const auto& taken = history.body.taken();
    for (std::size_t n = 0; n < history.asked.size(); ++n) {
      const auto* release = std::get_if<rig::ReleaseCall>(&history.asked[n].call);
      const auto end = n + 1 < history.asked.size() ? history.asked[n + 1].taken_before : taken.size();
      for (auto frame = history.asked[n].taken_before; frame < end; ++frame) {
        RC_ASSERT(release != nullptr);
        RC_ASSERT(taken[frame].drive == Drive::single || taken[frame].opened <= release->stop_by);
      }
    }
  }));
}

TEST_CASE("shutters open in order, never closer than the detuned interval, each after its lag at least") {
  CHECK(rc::check([] {
    const auto history = any_history();
    const auto& taken = history.body.taken();
    const auto& given = history.setup.profile;
    const double detune = history.setup.detune;
    for (std::size_t n = 0; n < taken.size(); ++n) {
      const double lag = in_seconds(taken[n].opened - taken[n].released);
      RC_ASSERT(lag >= in_seconds(body::least_release_lag(given)) * detune - 2e-6);
      const auto exposure = body::open_time(taken[n].exposure.shutter);
      RC_ASSERT(taken[n].closed - taken[n].opened == exposure);
      if (n == 0) continue;
      const auto before = body::open_time(taken[n - 1].exposure.shutter);
      const auto interval = body::frame_interval(given, taken[n - 1].drive, taken[n - 1].exposure.shutter);
      const double least = in_seconds(before) + in_seconds(interval - before) * detune;
      RC_ASSERT(in_seconds(taken[n].opened - taken[n - 1].opened) >= least - 3e-6);
    }
  }));
}

TEST_CASE("card and battery pay for each frame taken and for nothing else, and never go below nothing") {
  CHECK(rc::check([] {
    const auto history = any_history();
    const auto count = static_cast<double>(history.body.taken().size());
    const auto size = body::frame_size(history.setup.profile, history.setup.files);
    RC_ASSERT(std::abs(history.setup.profile.card.value - count * size.value -
                       history.body.card_free().value) < 1e-6);
    RC_ASSERT(history.body.card_free().value >= 0);
    RC_ASSERT(history.setup.profile.battery_frames - static_cast<int>(count) ==
              history.body.battery_frames_left());
    RC_ASSERT(history.body.battery_frames_left() >= 0);
  }));
}

TEST_CASE("the buffer never stands over its size by more than the one frame that is larger than all of it") {
  CHECK(rc::check([] {
    const auto history = any_history();
    const auto size = body::frame_size(history.setup.profile, history.setup.files);
    const auto most = std::max(size.value, history.setup.profile.buffer.value);
    if (!history.body.taken().empty()) {
      // An answer's microseconds are rounded: what a card writes in two of them is no breach.
      RC_ASSERT(history.body.buffer_used(history.body.taken().back().closed).value <= most + 1e-3);
    }
  }));
}

TEST_CASE("every frame an answer tells of is one that was taken, at those instants") {
  CHECK(rc::check([] {
    const auto history = any_history();
    for (const auto& [call, now, answer, before] : history.asked) {
      for (std::size_t n = 0; n < answer.frames.size(); ++n) {
        const auto& record = history.body.taken().at(before + n);
        RC_ASSERT(record.id == std::get<rig::ReleaseCall>(call).frames.at(n));
        RC_ASSERT(record.opened == answer.frames[n].opened);
        RC_ASSERT(record.closed == answer.frames[n].closed);
        RC_ASSERT(answer.frames[n].files ==
                  (answer.frames[n].confirmed ? record.files : std::vector<std::string>{}));
      }
    }
  }));
}

TEST_CASE("the same setup and calls give the same answers and the same record") {
  CHECK(rc::check([] {
    const auto history = any_history();
    SimulatedBody again(history.setup);
    for (const auto& [call, now, answer, before] : history.asked)
      RC_ASSERT(again.answer(call, now) == answer);
    RC_ASSERT(again.taken() == history.body.taken());
  }));
}

}  // namespace noonfall::sim
