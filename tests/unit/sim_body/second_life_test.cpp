#include <doctest/doctest.h>

#include "tests/unit/sim_body/sample_body.h"

namespace noonfall::sim {
namespace {

Ready after(int taken_before) {
  auto setup = round_setup();
  setup.taken_before = taken_before;
  return {std::move(setup), eighth};
}

}  // namespace

TEST_CASE("a body that took pictures before goes on with its file numbers, card and battery") {
  auto body = after(3);
  const auto answer = body.call(frames(1, 1));
  CHECK(answer.frames.front().files == std::vector<std::string>{"DCIM/100NOONF/NOON0004.RAW"});
  CHECK(body.body.card_free() == Megabytes{64'000 - 4 * 30});
  CHECK(body.body.battery_frames_left() == 1000 - 4);
  CHECK(body.body.taken().size() == 1);
}

TEST_CASE("a card or battery used up before stays used up") {
  CHECK(after(2133).call(frames(1, 1)).why == "the battery is empty");
  auto setup = round_setup();
  setup.profile.battery_frames = 10'000;
  setup.taken_before = 2133;  // of 30 MB each on 64,000 MB
  CHECK(Ready(std::move(setup), eighth).call(frames(1, 1)).why == "card full");
}

}  // namespace noonfall::sim
