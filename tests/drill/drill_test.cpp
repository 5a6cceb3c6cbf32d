// Daemons, workers and bodies that are killed or stand still at any instant. A short drill for every change;
// NOONFALL_KILLS=200 NOONFALL_FREEZES=100 is the long one.
#include <algorithm>
#include <cstdlib>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "tests/drill/day_drill.h"
#include "tests/drill/kill_drill.h"
#include "tests/source_folder.h"

using namespace noonfall::drill;

namespace {

int number_in(const char* variable, int otherwise) {
  const auto* text = std::getenv(variable);
  return text == nullptr ? otherwise : std::atoi(text);
}

std::string broken(const Verdict& verdict) {
  return fmt::format("{}", fmt::join(verdict.broken, "\n"));
}

std::string counts(const Verdict& v) {
  return fmt::format(
      "{} frames asked for, {} fired by the log, {} taken by the bodies ({} unfiltered, {} of bodies that "
      "stood "
      "still), {} unknown ({} of them taken); filters told off {} x, on {} x",
      v.intended, v.fired, v.taken, v.unfiltered, v.held_up, v.unknown, v.unknown_taken, v.told_off,
      v.called_on);
}

DrillResult drill(DrillSettings::Victims victims) {
  auto result = run_drill({NOONFALL_DAEMON, NOONFALL_SOURCE "/plans/two-rigs-2027.yaml",
                           number_in("NOONFALL_KILLS", 12) / 2, 25, 7, victims});
  MESSAGE(fmt::format("{} totalities: {}", result.runs, counts(result.verdict)));
  auto& armed = result.armed_after;
  std::ranges::sort(armed);
  if (!armed.empty())
    MESSAGE(fmt::format("armed after exec: half within {} ms, all within {} ms",
                        armed[armed.size() / 2].count() / 1000, armed.back().count() / 1000));
  return result;
}

}  // namespace

TEST_CASE("a daemon killed with signal 9 loses no frame its workers hold, and no word it was given") {
  const auto result = drill(DrillSettings::Victims::daemon);
  CHECK(broken(result.verdict) == "");
  CHECK(result.daemon_kills >= 6);
  CHECK(result.verdict.fired > 300);
  CHECK(result.verdict.unknown_taken == 0);
}

TEST_CASE("workers killed with signal 9 are replaced, nothing fires twice, and no word is lost") {
  const auto result = drill(DrillSettings::Victims::workers);
  CHECK(broken(result.verdict) == "");
  CHECK(result.worker_kills >= 6);
  CHECK(result.verdict.fired > 300);
}

TEST_CASE(
    "killed or standing still, under a full disk or not, everyone keeps the promises on the day itself") {
#ifdef NOONFALL_BODY
  const DayDrill settings{NOONFALL_DAEMON, NOONFALL_DRIVERS, NOONFALL_BODY, number_in("NOONFALL_KILLS", 12),
                          number_in("NOONFALL_FREEZES", 6)};
  const auto day = run_day_drill(settings);
  MESSAGE(fmt::format(
      "{} days: the daemon killed {} x, workers {} x, {} of these under a full disk; the daemon stood "
      "still {} x, workers {} x, bodies {} x",
      day.days, day.daemon_kills, day.worker_kills, day.under_full_disk, day.daemon_freezes,
      day.worker_freezes, day.body_freezes));
  MESSAGE(counts(day.verdict));
  CHECK(broken(day.verdict) == "");
  CHECK(day.kills() >= settings.kills);
  CHECK(day.freezes() >= settings.freezes);
  CHECK(std::abs(2 * day.under_full_disk - day.kills()) <= 4);
  CHECK(day.verdict.fired > 50);
  CHECK(day.verdict.unfiltered > 0);
  CHECK(day.verdict.told_off > 0);
  CHECK(day.verdict.called_on > 0);
#else
  MESSAGE("SKIPPED: no libgphoto2 to drive bodies on cables with");
#endif
}
