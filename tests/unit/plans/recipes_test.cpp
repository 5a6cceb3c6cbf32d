// The plans of docs/recipes.md, as they stand on the page: each can be shot, and a rehearsal shoots it.
#include <fstream>
#include <regex>
#include <sstream>

#include <doctest/doctest.h>

#include "daemon/load/plan_loading.h"
#include "lib/report/summary.h"
#include "sim/rehearse/rehearsal.h"
#include "tests/source_folder.h"

namespace noonfall {
namespace {

struct Recipe {
  std::string heading;
  std::string plan;
};

std::vector<Recipe> recipes() {
  std::ostringstream text;
  text << std::ifstream{NOONFALL_SOURCE "/docs/recipes.md"}.rdbuf();
  const auto page = text.str();
  std::vector<Recipe> found;
  for (auto at = page.find("\n## "); at != std::string::npos;) {
    const auto next = page.find("\n## ", at + 1);
    const auto part = page.substr(at + 4, next - at - 4);
    const auto begin = part.find("```yaml\n");
    const auto end = part.find("```", begin + 3);
    REQUIRE_MESSAGE(end != std::string::npos, part);
    found.push_back({part.substr(0, part.find('\n')), part.substr(begin + 8, end - begin - 8)});
    at = next;
  }
  return found;
}

/// What a site has, not a plan.
bool is_of_the_site(const std::string& code) {
  return code.find("low-sun") != std::string::npos || code.find("uncertain") != std::string::npos;
}

}  // namespace

TEST_CASE("every recipe passes a check with nothing but its site's warnings, and is rehearsed to its end") {
  const auto all = recipes();
  REQUIRE(all.size() == 5);
  for (const auto& [heading, plan] : all) {
    CAPTURE(heading);
    load::PlanSource source{"recipe.yaml", {}, built_in_leap_seconds(), {}, timeline::Strictness::plan_check};
    source.text = plan;
    const auto loaded = load::load_plan(source);
    for (const auto& finding : loaded.findings) {
      CAPTURE(finding.message);
      CHECK(finding.severity == Severity::warning);
      CHECK(is_of_the_site(finding.code));
    }
    REQUIRE(loaded.timeline);
    CHECK(loaded.timeline->skipped.empty());
    sim::RehearsalSetup setup;
    setup.timeline = *loaded.timeline;
    const auto rehearsed = sim::rehearse(setup);
    const auto summary = report::summarise({rehearsed.lines, rehearsed.log.size(), false, {}}).value();
    CHECK(summary.complete);
    CHECK_FALSE(summary.strayed());
    CHECK(summary.total.failed + summary.total.unknown + summary.total.cancelled == 0);
    for (const auto& step : summary.steps) {
      CAPTURE(step.planned.step);
      CHECK((step.by_hand || step.whole_sets > 0));
    }
  }
}

}  // namespace noonfall
