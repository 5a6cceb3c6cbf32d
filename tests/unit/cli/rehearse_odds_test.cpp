// `noonfall rehearse --trials` with threads: the same words whatever their number.
#include <sstream>

#include <doctest/doctest.h>

#include "daemon/cli/rehearse_odds.h"
#include "daemon/load/plan_loading.h"
#include "tests/source_folder.h"

using namespace noonfall;
using namespace noonfall::cli;

namespace {

const timeline::Timeline& first_light() {
  static const auto loaded = load::load_plan({NOONFALL_SOURCE "/plans/first-light.yaml",
                                              {},
                                              built_in_leap_seconds(),
                                              {},
                                              timeline::Strictness::plan_check});
  return *loaded.timeline;
}

struct Told {
  std::string out;
  Exit exit;
};

Told tell(TrialsRequest request) {
  std::ostringstream out;
  std::ostringstream err;
  Context context{out, err, built_in_leap_seconds()};
  rehearse_odds(request, first_light(), {}, context);
  return {out.str(), context.exit};
}

}  // namespace

TEST_CASE("one thread and three tell the same odds") {
  const auto alone = tell({.trials = 12, .threads = 1});
  CHECK(alone.exit == Exit::done);
  CHECK(alone.out.starts_with("First light: 12 trials on simulated bodies\n"));
  CHECK(alone.out.find("No trial took an unfiltered frame outside the filter window.") != std::string::npos);
  CHECK(tell({.trials = 12, .threads = 3}).out == alone.out);
  CHECK(tell({.trials = 12, .threads = 2, .chances = {.seed = 2}}).out != alone.out);
}

TEST_CASE("a share that isn't all or nothing is never written so") {
  sim::Odds odds;
  odds.trials = 100'000;
  odds.steps.push_back({.rig = "long", .step = "corona", .any_set = 0.99999});
  odds.strayed = 0.00001;
  const auto text = odds_text(odds, first_light(), {});
  CHECK(text.find(">99.9 %") != std::string::npos);
  CHECK(text.find("<0.1 %") != std::string::npos);
  CHECK(text.find("UNFILTERED FRAMES OUTSIDE THE FILTER WINDOW") != std::string::npos);
}
