// The plans that come with noonfall: each is read, checked, and its printed timeline compared to
// tests/golden. After a change meant to show there, run this test with NOONFALL_UPDATE_GOLDENS=1 and read the
// difference.
#include <doctest/doctest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "daemon/load/plan_loading.h"
#include "daemon/load/time_zone.h"
#include "lib/base/code_points.h"
#include "lib/plan/parse.h"
#include "lib/plan/print.h"
#include "lib/timeline/print.h"
#include "tests/source_folder.h"

namespace noonfall {
namespace {

std::vector<std::filesystem::path> shipped_plans() {
  std::vector<std::filesystem::path> found;
  for (const auto& entry : std::filesystem::directory_iterator{NOONFALL_SOURCE "/plans"})
    if (entry.path().extension() == ".yaml") found.push_back(entry.path());
  std::sort(found.begin(), found.end());
  return found;
}

load::LoadedPlan plan_in(const std::filesystem::path& path) {
  return load::load_plan({path.string(), "", built_in_leap_seconds(), {}});
}

std::string read(const std::filesystem::path& path) {
  std::ifstream file{path};
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

/// What `noonfall check` would show, findings by their words: paths differ from machine to machine.
std::string shown(const load::LoadedPlan& loaded) {
  std::string text = timeline::to_text(*loaded.timeline, load::local_clock(loaded.timeline->zone));
  text += "\nFindings\n";
  for (const auto& finding : loaded.findings) text += "  " + finding.message + "\n";
  return text;
}

}  // namespace

TEST_CASE("every shipped plan can be shot as written, without a warning") {
  const auto plans = shipped_plans();
  REQUIRE(plans.size() >= 2);
  for (const auto& path : plans) {
    CAPTURE(path);
    const auto loaded = plan_in(path);
    CHECK(loaded.exit == command_line::Exit::done);
    CHECK(to_text(loaded.findings).empty());
    CHECK(loaded.timeline.has_value());
  }
}

TEST_CASE("every shipped plan prints to a text that reads back to the same plan") {
  for (const auto& path : shipped_plans()) {
    CAPTURE(path);
    const auto loaded = plan_in(path);
    REQUIRE(loaded.plan);
    const auto again = plan::parse(plan::print(*loaded.plan));
    REQUIRE_MESSAGE(again, to_text(again.error()));
    CHECK(*again == *loaded.plan);
  }
}

TEST_CASE("the timeline of every shipped plan is the one that was read and found good") {
  for (const auto& path : shipped_plans()) {
    CAPTURE(path);
    const auto loaded = plan_in(path);
    REQUIRE(loaded.timeline);
    const std::filesystem::path golden =
        NOONFALL_SOURCE "/tests/golden/" + path.stem().string() + ".timeline.txt";
    if (std::getenv("NOONFALL_UPDATE_GOLDENS") != nullptr) std::ofstream{golden} << shown(loaded);
    CHECK(shown(loaded) == read(golden));
  }
}

TEST_CASE("no line of a timeline is wider than 100 columns") {
  for (const auto& path : shipped_plans()) {
    const auto loaded = plan_in(path);
    REQUIRE(loaded.timeline);
    std::istringstream lines{timeline::to_text(*loaded.timeline, load::local_clock(loaded.timeline->zone))};
    for (std::string line; std::getline(lines, line);) {
      CAPTURE(line);
      CHECK(code_points(line) <= 100);
    }
  }
}

}  // namespace noonfall
