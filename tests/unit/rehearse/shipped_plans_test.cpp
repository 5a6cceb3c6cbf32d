// Every plan that comes with noonfall, rehearsed on bodies as fast as their profiles, faster and slower.
#include <filesystem>
#include <fstream>
#include <sstream>

#include <doctest/doctest.h>

#include "lib/report/summary.h"
#include "tests/source_folder.h"
#include "tests/unit/rehearse/plan_fixture.h"

using namespace noonfall;
using namespace noonfall::sim;

namespace {

std::vector<std::filesystem::path> shipped_plans() {
  std::vector<std::filesystem::path> plans;
  for (const auto& entry : std::filesystem::directory_iterator{NOONFALL_SOURCE "/plans"}) {
    if (entry.path().extension() == ".yaml") plans.push_back(entry.path());
  }
  return plans;
}

std::string text_of(const std::filesystem::path& path) {
  std::ostringstream text;
  text << std::ifstream{path}.rdbuf();
  return text.str();
}

}  // namespace

TEST_CASE("every shipped plan is shot to its end, no unfiltered frame strays, every timed set is whole") {
  REQUIRE(shipped_plans().size() >= 3);
  for (const auto& path : shipped_plans()) {
    auto setup = setup_of(text_of(path));
    for (const double detune : {0.7, 1.0, 1.3}) {
      setup.detune = detune;
      const auto rehearsed = rehearse(setup);
      const auto summary = report::summarise({rehearsed.lines, rehearsed.log.size(), false, {}}).value();
      CAPTURE(path);
      CAPTURE(detune);
      CHECK(summary.complete);
      for (const auto& window : summary.windows) CHECK(window.outside == 0);
      CHECK(summary.total.failed + summary.total.unknown + summary.total.cancelled + summary.total.open == 0);
      for (const auto& step : summary.steps) {
        CAPTURE(step.planned.step);
        // A slower body may run out of time in the set that ends with its span.
        const int lost = detune > 1 ? 1 : 0;
        if (!step.planned.back_to_back && !step.by_hand) CHECK(step.whole_sets >= step.planned.sets - lost);
        CHECK_FALSE(step.left_out);
      }
    }
  }
}

TEST_CASE("the example of a rough day costs frames, never the filter window, and is told in the log") {
  const auto setup = setup_of(text_of(NOONFALL_SOURCE "/plans/two-rigs-2027.yaml"),
                              text_of(NOONFALL_SOURCE "/plans/faults/rough-day.yaml"));
  const auto rehearsed = rehearse(setup);
  const auto summary = report::summarise({rehearsed.lines, rehearsed.log.size(), false, {}}).value();
  CHECK(summary.complete);
  CHECK(summary.happenings.size() >= 2);
  CHECK(summary.total.failed + summary.total.unknown + summary.total.skipped > 0);
  for (const auto& window : summary.windows) CHECK(window.outside == 0);
}
