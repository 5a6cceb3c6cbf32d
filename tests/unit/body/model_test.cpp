#include "lib/body/model.h"

#include <doctest/doctest.h>

#include "lib/exposure/bracket.h"
#include "tests/unit/body/bodies.h"

using namespace noonfall;
using namespace noonfall::body;
using namespace std::chrono_literals;
using exposure::Exposure;
using exposure::FNumber;
using exposure::Shutter;
using noonfall::tests::round_body;

namespace {

Exposure with(Shutter shutter) {
  return {shutter, FNumber{80}, {100}};
}

std::vector<Exposure> bracket() {  // 1/8, 1/4, 1/2: names that stand for themselves
  return {with({1, 8}), with({1, 4}), with({1, 2})};
}

constexpr Utc start{1h};

}  // namespace

TEST_CASE("a shutter is open for the exact time behind its name") {
  CHECK(open_time({1, 60}) == Duration{15625});
  CHECK(open_time({30, 1}) == Duration{32s});
  CHECK(open_time({1, 8000}) == Duration{122});
}

TEST_CASE("only what changes takes setting time") {
  const auto body = round_body();
  const Exposure base{{1, 60}, FNumber{80}, {100}};
  CHECK(setting_time(body, nullptr, base) == 150ms);
  CHECK(setting_time(body, &base, base) == 0ms);
  CHECK(setting_time(body, &base, {{1, 30}, FNumber{80}, {100}}) == 40ms);
  CHECK(setting_time(body, &base, {{1, 60}, FNumber{56}, {100}}) == 80ms);
  CHECK(setting_time(body, &base, {{1, 60}, FNumber{80}, {200}}) == 30ms);
  CHECK(setting_time(body, &base, {{1, 30}, FNumber{56}, {200}}) == 150ms);
}

TEST_CASE("a lens without an f-number takes no time to set one") {
  const Exposure telescope{{1, 60}, std::nullopt, {100}};
  CHECK(setting_time(round_body(), nullptr, telescope) == 70ms);
}

TEST_CASE("changing the drive takes its own time") {
  CHECK(drive_change_time(round_body(), Drive::single, Drive::continuous) == 60ms);
  CHECK(drive_change_time(round_body(), Drive::continuous, Drive::continuous) == 0ms);
}

TEST_CASE("frame intervals lie on straight lines between the measured points") {
  const auto body = round_body();
  CHECK(frame_interval(body, Drive::single, {1, 4}) == 450ms);
  CHECK(frame_interval(body, Drive::single, {1, 2}) == 700ms);
  CHECK(frame_interval(body, Drive::single, {1, 1}) == 1400ms);
  CHECK(frame_interval(body, Drive::continuous, {1, 16}) == 100ms);
}

TEST_CASE("past the last point a frame grows with its exposure, before the first it is the first's") {
  auto body = round_body();
  CHECK(frame_interval(body, Drive::single, {4, 1}) == 4400ms);
  CHECK(frame_interval(body, Drive::continuous, {1, 1}) == 1025ms);
  body.single = {{100ms, 300ms}};
  CHECK(frame_interval(body, Drive::single, {1, 8000}) == 300ms);
}

TEST_CASE("no frame interval is shorter than its exposure") {
  auto body = round_body();
  body.single = {{0ms, 50ms}, {10s, 10s}};
  body.single.front().interval = 50ms;
  body.continuous = {{0ms, 0ms}, {1s, 500ms}};
  for (const auto shutter : exposure::third_stop_shutters()) {
    CHECK(frame_interval(body, Drive::single, shutter) >= open_time(shutter));
    CHECK(frame_interval(body, Drive::continuous, shutter) >= open_time(shutter));
  }
}

TEST_CASE("a body without a burst takes single frames for it") {
  auto body = round_body();
  body.continuous.clear();
  CHECK(frame_interval(body, Drive::continuous, {1, 4}) == frame_interval(body, Drive::single, {1, 4}));
}

TEST_CASE("every release lag lies between least and most") {
  auto body = round_body();
  CHECK(least_release_lag(body) == 80ms);
  CHECK(most_release_lag(body) == 120ms);
  body.release.jitter = 150ms;
  CHECK(least_release_lag(body) == 0ms);
}

TEST_CASE("a frame takes the room of all its files") {
  CHECK(frame_size(round_body(), Files::raw).value == 20);
  CHECK(frame_size(round_body(), Files::jpeg).value == 5);
  CHECK(frame_size(round_body(), Files::raw_and_jpeg).value == 25);
}

TEST_CASE("a bracket of single frames waits for the interval or for its settings, whichever is longer") {
  auto body = round_body();
  // Intervals 325, 450, 700 ms; exposure + readout + shutter + lag is 275, 400, 650 ms.
  CHECK(predict_set(body, Drive::single, bracket()) == PredictedSet{{0ms, 325ms, 775ms}, 1275ms, 1475ms});
  body.setting_times.shutter = 140ms;  // now 375, 500, 750 ms
  CHECK(predict_set(body, Drive::single, bracket()) == PredictedSet{{0ms, 375ms, 875ms}, 1375ms, 1625ms});
}

TEST_CASE("a set's cycle counts the settings of the set that follows") {
  auto body = round_body();
  body.setting_times.shutter = 140ms;
  const auto same_shutter = with({1, 2});
  CHECK(predict_set(body, Drive::single, bracket(), &same_shutter).cycle == 875ms + 700ms);
  const Exposure all_new{{1, 8}, FNumber{40}, {800}};
  CHECK(predict_set(body, Drive::single, bracket(), &all_new).cycle ==
        875ms + 500ms + 10ms + 140ms + 80ms + 30ms + 100ms);
}

TEST_CASE("a burst runs at its own interval while nothing changes") {
  const std::vector<Exposure> burst(4, with({1, 16}));
  CHECK(predict_set(round_body(), Drive::continuous, burst) ==
        PredictedSet{{0ms, 100ms, 200ms, 300ms}, 362500us, 400ms});
}

TEST_CASE("a change of setting ends a burst and costs a new release") {
  const std::vector<Exposure> two{with({1, 16}), with({1, 8})};
  CHECK(predict_set(round_body(), Drive::continuous, two).offsets ==
        std::vector<Duration>{0ms, 62500us + 10ms + 40ms + 100ms});
}

TEST_CASE("openings rise and no two frames overlap, whatever the bracket and the drive") {
  const auto body = round_body();
  for (const auto drive : {Drive::single, Drive::continuous}) {
    for (int frames = 1; frames <= 13; ++frames) {
      const auto ladder =
          exposure::centred_ladder({1, 15}, frames, Stops{1}, exposure::third_stop_shutters());
      std::vector<Exposure> set;
      for (const auto shutter : exposure::mirrored(ladder.shutters)) set.push_back(with(shutter));
      const auto predicted = predict_set(body, drive, set);
      REQUIRE(predicted.offsets.size() == set.size());
      for (std::size_t i = 1; i < set.size(); ++i) {
        CHECK(predicted.offsets[i] >= predicted.offsets[i - 1] + open_time(set[i - 1].shutter));
      }
      CHECK(predicted.lasts == predicted.offsets.back() + open_time(set.back().shutter));
      CHECK(predicted.cycle >= predicted.lasts);
    }
  }
}

TEST_CASE("sets that fit without a full buffer follow each other at the cycle") {
  auto body = round_body();
  body.buffer = {10'000};
  const std::vector<std::vector<Exposure>> turn{bracket()};
  // Four sets begin at 0, 1475, 2950 and 4425 ms and the fourth closes at 5700 ms.
  const auto fit = fit_sets(body, Drive::single, Files::raw, turn, start, start + 5700ms, Buffer{body});
  CHECK(fit == Fit{4, 12, 5200ms});
  const auto short_by_1us =
      fit_sets(body, Drive::single, Files::raw, turn, start, start + 5700ms - 1us, Buffer{body});
  CHECK(short_by_1us == Fit{3, 11, 4750ms});
}

TEST_CASE("a full buffer slows frames to the write rate") {
  const auto body = round_body();  // five frames of 20 MB, one a second to the card
  const std::vector<std::vector<Exposure>> turn{{with({1, 16})}};
  const auto fit = fit_sets(body, Drive::continuous, Files::raw, turn, start, start + 30s, Buffer{body});
  CHECK(fit.frames >= 5 + 29);
  CHECK(fit.frames <= 5 + 31);
}

TEST_CASE("sets in turn are taken in turn") {
  auto body = round_body();
  body.buffer = {10'000};
  const std::vector<std::vector<Exposure>> turn{{with({1, 8})}, {with({1, 4}), with({1, 4})}};
  // 0, 325, 775, 1225 (1/8 again), 1550, 2000 ms.
  const auto fit = fit_sets(body, Drive::single, Files::raw, turn, start, start + 2250ms, Buffer{body});
  CHECK(fit == Fit{4, 6, 2s});
}

TEST_CASE("frames left free at the end are not taken") {
  auto body = round_body();
  body.write_rate = {0.001};
  const std::vector<std::vector<Exposure>> turn{{with({1, 16})}};
  const auto taken = [&](int leave_free) {
    return fit_sets(body, Drive::single, Files::raw, turn, start, start + 60s, Buffer{body}, leave_free)
        .frames;
  };
  CHECK(taken(0) == 5);
  CHECK(taken(2) == 3);
  CHECK(taken(5) == 0);
}

TEST_CASE("a frame comes into the buffer when its shutter closes") {
  const auto body = round_body();  // writes a frame a second, so one that came at the opening would be gone
  const std::vector<std::vector<Exposure>> turn{{with({1, 1})}};
  const auto taken = [&](int leave_free) {
    return fit_sets(body, Drive::single, Files::raw, turn, start, start + 1s, Buffer{body}, leave_free)
        .frames;
  };
  CHECK(taken(4) == 1);
  CHECK(taken(5) == 0);
}

TEST_CASE("a span too short for one exposure holds nothing") {
  const auto body = round_body();
  const std::vector<std::vector<Exposure>> turn{bracket()};
  CHECK(fit_sets(body, Drive::single, Files::raw, turn, start, start + 124ms, Buffer{body}) == Fit{});
  CHECK(fit_sets(body, Drive::single, Files::raw, turn, start, start - 1s, Buffer{body}) == Fit{});
}
