#include "lib/timeline/timeline.h"

#include <doctest/doctest.h>

#include "tests/unit/timeline/scene.h"

using namespace noonfall;
using namespace noonfall::timeline;
using namespace noonfall::timeline::tests;
using namespace std::chrono_literals;

namespace {

constexpr const char* day = R"(
steps:
  - name: crescent
    rigs: all
    subject: photosphere
    from: C1 + 10 s
    until: C2 - 13 min
    every: 30 s
    exposure: {shutter: 1/1000}
  - name: aim again
    hands: long
    from: C2 - 12 min
    until: C2 - 10 min
  - name: corona
    rig: long
    subject: corona 0.1 to 4
    from: C2 + 6 s
    until: C3 - 12 s
    every: back to back
    bracket: {from: 1/1000, to: 1 s, by: 2 stops}
  - name: crescent out
    mirror: crescent
cues:
  - {at: MID, say: Halfway}
)";

/// The same plan with a rig on which the photosphere may be shot.
std::string on_long_only() {
  std::string text{day};
  text.replace(text.find("rigs: all"), 9, "rig: long");
  return text;
}

contacts::Circumstances later_sky(Duration by) {
  auto later = sky();
  for (auto& contact : later.contacts) contact->utc += by;
  return later;
}

}  // namespace

TEST_CASE("a timeline moved is the one of an eclipse at that other time") {
  const auto here = timeline_of(on_long_only());
  REQUIRE(here.predicted_frames() > 50);
  for (const Duration by : {Duration{1h}, Duration{-90s}, Duration{1us}, Duration{0}}) {
    CHECK(moved(here, by) == timeline_of(on_long_only(), later_sky(by)));
  }
}

TEST_CASE("absolute instants move with the rest") {
  const auto here = timeline_of(R"(
steps:
  - name: one
    rig: long
    subject: photosphere
    at: 2027-08-02T08:30:00Z
    exposure: {shutter: 1/1000}
)");
  const auto there = moved(here, -30min);
  CHECK(there.rigs.front().steps.front().targets.front().due == at("08:00:00"));
}
