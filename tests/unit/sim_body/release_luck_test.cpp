#include <doctest/doctest.h>

#include <algorithm>
#include <set>

#include "sim/body/release_luck.h"
#include "tests/unit/sim_body/sample_body.h"

namespace noonfall::sim {
namespace {

constexpr body::ReleaseLag uneven{60ms, 15ms};

BodySetup uneven_setup(std::uint64_t seed) {
  auto setup = round_setup();
  setup.profile.release = uneven;
  setup.seed = seed;
  return setup;
}

Duration lag(Ready& ready, int frame) {
  ready.now += 1s;
  const auto answer = ready.call(frames(frame, 1));
  return answer.frames.at(0).opened - answer.released;
}

}  // namespace

TEST_CASE("every lag lies within the profile's jitter, evenly about the typical one") {
  std::vector<Duration> lags;
  for (int n = 1; n <= 20'000; ++n) lags.push_back(lag_of(uneven, 1, {0, n % 7, n / 100, n}));
  std::ranges::sort(lags);
  CHECK(lags.front() >= 45ms);
  CHECK(lags.back() <= 75ms);
  // A triangular spread: 1/32 of all lie in the outer quarter of each side, half on
  // each side. Bounds are five standard deviations of the count.
  const auto below = [&](Duration bound) { return std::ranges::lower_bound(lags, bound) - lags.begin(); };
  CHECK(std::abs(below(48'750us) - 625) < 125);
  CHECK(std::abs(below(60ms) - 10'000) < 354);
  CHECK(std::abs(below(71'250us) - 19'375) < 125);
}

TEST_CASE("a jitter larger than the lag never opens a shutter before its release") {
  for (int n = 1; n <= 1000; ++n) CHECK(lag_of({10ms, 30ms}, 3, {0, 0, 1, n}) >= 0ms);
}

TEST_CASE("seed and every part of the id decide a frame's luck") {
  const order::FrameId id{1, 2, 3, 4};
  const std::set<Duration> lags{lag_of(uneven, 1, id),           lag_of(uneven, 2, id),
                                lag_of(uneven, 1, {2, 2, 3, 4}), lag_of(uneven, 1, {1, 3, 3, 4}),
                                lag_of(uneven, 1, {1, 2, 4, 4}), lag_of(uneven, 1, {1, 2, 3, 5}),
                                lag_of(uneven, 1, {4, 3, 2, 1})};
  CHECK(lags.size() == 7);
}

TEST_CASE("the same seed and calls give the same answers") {
  const auto run = [](std::uint64_t seed) {
    Ready ready(uneven_setup(seed), eighth);
    std::vector<DeviceAnswer> answers;
    for (int n = 1; n < 50; ++n) answers.push_back(ready.call(frames(n, 1)));
    return answers;
  };
  CHECK(run(5) == run(5));
  CHECK(run(5) != run(6));
}

TEST_CASE("a frame's luck doesn't depend on the frames before it") {
  Ready all(uneven_setup(5), eighth);
  Ready few(uneven_setup(5), eighth);
  (void)lag(all, 1);
  (void)lag(all, 2);
  const auto third = lag(all, 3);
  CHECK(lag(few, 3) == third);
}

}  // namespace noonfall::sim
