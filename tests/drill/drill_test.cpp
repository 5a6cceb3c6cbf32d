// A short drill for every change; ./dev bench has the long one.

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "tests/drill/kill_drill.h"
#include "tests/source_folder.h"

using namespace noonfall::drill;

namespace {

std::string broken(const Verdict& verdict) {
  return fmt::format("{}", fmt::join(verdict.broken, "\n"));
}

DrillResult drill(DrillSettings::Victims victims) {
  return run_drill({NOONFALL_DAEMON, NOONFALL_SOURCE "/plans/two-rigs-2027.yaml", 6, 25, 7, victims});
}

}  // namespace

TEST_CASE("a daemon killed with signal 9 loses no frame its workers hold, and no word it was given") {
  const auto result = drill(DrillSettings::Victims::daemon);
  CHECK(broken(result.verdict).empty());
  CHECK(result.daemon_kills == 6);
  CHECK(result.verdict.fired > 300);
  CHECK(result.verdict.unknown_taken == 0);
}

TEST_CASE("workers killed with signal 9 are replaced, nothing fires twice, and no word is lost") {
  const auto result = drill(DrillSettings::Victims::workers);
  CHECK(broken(result.verdict).empty());
  CHECK(result.worker_kills == 6);
  CHECK(result.verdict.fired > 300);
}
