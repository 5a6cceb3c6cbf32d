// The fault campaign. Each scenario's unusual log lines stand in tests/scenario/expected, its row in
// docs/reliability.md; after a change meant to show there run this with NOONFALL_UPDATE_GOLDENS=1 and read
// the difference.
#include <cstdlib>
#include <fstream>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "tests/program/run_program.h"
#include "tests/scenario/reliability_page.h"
#include "tests/scenario/scenario.h"
#include "tests/source_folder.h"

namespace noonfall::scenario {
namespace {

/// The file has this, or is given it.
void check_file(const std::string& path, const std::string& text) {
  if (std::getenv("NOONFALL_UPDATE_GOLDENS") != nullptr) std::ofstream{path} << text;
  CHECK(text == tests::text_of_file(path));
}

void check_day(const Scenario& scenario, const Day& day) {
  const auto& ordinary = ordinary_day(scenario);
  CHECK(untruth(day) == "");
  if (scenario.spares_wide) CHECK(day.taken.at(1).size() == ordinary.taken.at(1).size());
  check_file(fmt::format(NOONFALL_SOURCE "/tests/scenario/expected/{:02}.log", scenario.number),
             scenario.fault + "\n\n" + unusual_log(day, ordinary));
}

}  // namespace

TEST_CASE("whatever goes wrong in the campaign, the log is truthful and as expected, and the page has it") {
  std::string rows;
  int before = 0;
  for (const auto& scenario : campaign()) {
    CAPTURE(scenario.number);
    CAPTURE(scenario.fault);
    CHECK(scenario.number > std::exchange(before, scenario.number));
    const auto day = play(scenario);
    check_day(scenario, day);
    rows += row_of(scenario, day);
  }
  const std::string path = NOONFALL_SOURCE "/docs/reliability.md";
  const auto page = with_rows(tests::text_of_file(path), rows);
  REQUIRE(page != "");
  check_file(path, page);
}

TEST_CASE("a log that isn't so is found out") {
  const Scenario nothing{};
  const auto& good = ordinary_day(nothing);
  REQUIRE(untruth(good) == "");
  auto day = good;
  day.taken[0].push_back(day.taken[0].front());
  CHECK(untruth(day) == "long crescent in 1.1 was taken twice\n");
  day = good;
  day.taken[0].erase(day.taken[0].begin());
  CHECK(untruth(day) == "long crescent in 1.1 is said to be fired and was not taken\n");
  day = good;
  day.taken[0].push_back({{0, 0, 99, 1}, {}, {}});
  CHECK(untruth(day) == "long crescent in 99.1 was taken and never asked for\n");
  day = good;
  day.taken[0].back().closed = day.taken[0].back().opened;
  day.taken[0].at(20).closed += std::chrono::hours{1};
  CHECK(untruth(day).find("was taken outside the filter window") != std::string::npos);
  day = good;
  day.lines.pop_back();
  CHECK(untruth(day) == "the log doesn't say that the plan is done\n");
}

}  // namespace noonfall::scenario
