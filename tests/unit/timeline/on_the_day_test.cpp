// What is left out before the run: by the plan's own condition, by the sky, and on the day instead of
// refusing.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "tests/unit/timeline/scene.h"

namespace noonfall::timeline {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;
using contacts::Kind;

constexpr const char* a_plan = R"(steps:
  - {name: crescent, rig: long, subject: photosphere, at: C1 + 10 min}
  - {name: corona, rig: long, subject: corona 1, from: C2 + 10 s, until: C3 - 10 s, every: back to back, only_if: totality >= 60 s}
  - {name: scene, rig: wide, subject: landscape, at: MID, exposure: {shutter: 1/4}}
)";

std::string left_out(const Built& made) {
  REQUIRE(made.timeline);
  std::string all;
  for (const auto& skipped : made.timeline->skipped)
    all += fmt::format("{} on {}: {}\n", skipped.step, skipped.rig, skipped.why);
  return all;
}

contacts::Circumstances with_totality(Duration totality, Duration uncertainty = 2s) {
  auto sky = tests::sky();
  auto& c2 = *sky.contacts[static_cast<std::size_t>(ContactName::c2)];
  auto& c3 = *sky.contacts[static_cast<std::size_t>(ContactName::c3)];
  c3.utc = c2.utc + totality;
  c2.uncertainty = c3.uncertainty = uncertainty;
  sky.contacts[static_cast<std::size_t>(ContactName::mid)]->utc = c2.utc + totality / 2;
  return sky;
}

}  // namespace

TEST_CASE("a step whose condition fails is left out without a warning") {
  const auto made = tests::built(a_plan, with_totality(59'999'999us));
  CHECK(left_out(made) == "corona on long: totality lasts 1 min, wanted >= 1 min\n");
  CHECK(tests::warning_codes(made) == "filter-stays-on");
  CHECK(left_out(tests::built(a_plan, with_totality(60s))).empty());
}

TEST_CASE("outside the path totality is left out with a warning, before the day as on it") {
  for (const auto strictness : {Strictness::plan_check, Strictness::on_the_day}) {
    const auto made = tests::built(a_plan, tests::sky(Kind::partial), strictness);
    CHECK(left_out(made) == "corona on long: totality lasts 0 s, wanted >= 1 min\n");
    CHECK(made.timeline->rigs[0].steps.size() == 1);
    CHECK(made.timeline->rigs[1].steps.size() == 1);
  }
}

TEST_CASE("on the day an uncertain totality closes the filter window and the rest is shot") {
  const auto sky = with_totality(120s, 61s);
  CHECK(tests::error_codes(tests::built(a_plan, sky)) == "totality-not-certain");
  const auto made = tests::built(a_plan, sky, Strictness::on_the_day);
  CHECK(left_out(made) ==
        "corona on long: totality isn't certain here: it lasts 2 min, while C2 is known to 1 min 1.1 s and "
        "C3 to 1 min "
        "1.1 s\n");
  CHECK_FALSE(made.timeline->rigs[0].window);
  CHECK(made.timeline->rigs[0].steps.size() == 1);
  CHECK(made.timeline->rigs[1].steps.size() == 1);
  REQUIRE(made.timeline->cues.size() == 1);
  CHECK(made.timeline->cues.front().kind == CueKind::eyes);
}

TEST_CASE("on the day a step that shorter totality leaves no room for is left out") {
  const auto sky = with_totality(19s);
  const std::string plan =
      "steps:\n  - {name: corona, rig: long, subject: corona 1, from: C2 + 10 s, until: C3 - 10 s, every: "
      "back to back}\n"
      "  - {name: flash, rig: long, subject: prominences, at: MID}\n";
  CHECK(tests::error_codes(tests::built(plan, sky)) == "empty-span");
  CHECK(left_out(tests::built(plan, sky, Strictness::on_the_day)) ==
        "corona on long: \"corona\": begins at MID + 500 ms but ends at MID - 500 ms\n");
}

TEST_CASE("on the day steps that have come to overlap are cut, the later one whole") {
  const auto sky = with_totality(40s);  // MID - 15 s is C2 + 5 s
  const std::string plan =
      "steps:\n  - {name: a, rig: long, subject: prominences, from: C2 - 5 s, until: C2 + 10 s, every: back "
      "to back}\n"
      "  - {name: b, rig: long, subject: corona 1, from: MID - 15 s, until: C3 - 5 s, every: back to back}\n";
  CHECK(tests::error_codes(tests::built(plan, sky)) == "steps-overlap");
  const auto made = tests::built(plan, sky, Strictness::on_the_day);
  CHECK(left_out(made).empty());
  CHECK(tests::warning_codes(made) == "cut-short");
  CHECK(made.timeline->rigs[0].steps[0].until == tests::at("09:00:05"));
  CHECK(made.timeline->rigs[0].steps[1].from == tests::at("09:00:05"));
}

TEST_CASE("on the day a step that is cut to nothing is left out") {
  const auto sky = with_totality(20s);
  const std::string plan =
      "steps:\n  - {name: a, rig: long, subject: corona 8, from: C2 + 5 s, until: C2 + 15 s, every: back to "
      "back, exposure: "
      "{shutter: 8 s}}\n  - {name: b, rig: long, subject: corona 1, from: MID, until: C3, every: back to "
      "back}\n";
  CHECK(left_out(tests::built(plan, sky, Strictness::on_the_day)) ==
        "a on long: \"a\" ends on long at MID, where \"b\" begins, which leaves no time for it\n");
}

TEST_CASE("on the day mistakes that aren't the sky's stay errors") {
  const auto made = tests::built("steps:\n  - {name: a, rig: wide, subject: landscape, at: MID}\nsky: none\n",
                                 tests::sky(), Strictness::on_the_day);
  CHECK(tests::error_codes(made) == "shutter-missing");
  CHECK_FALSE(made.timeline);
}

TEST_CASE(
    "without any eclipse at the site nothing is left, which is an error before the day and a warning on it") {
  CHECK(tests::error_codes(tests::built(a_plan, tests::sky(Kind::none))) == "nothing-to-shoot");
  CHECK(tests::built(a_plan, tests::sky(Kind::none), Strictness::on_the_day).timeline.has_value());
}

}  // namespace noonfall::timeline
