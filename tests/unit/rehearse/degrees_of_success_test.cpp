#include <map>

#include <doctest/doctest.h>

#include "sim/rehearse/greedy.h"
#include "tests/unit/rehearse/plan_fixture.h"

using namespace noonfall;
using namespace noonfall::sim;

namespace {

std::string with(std::string text, const std::string& from, const std::string& to) {
  text.replace(text.find(from), from.size(), to);
  return text;
}

int whole_sets(const Rehearsed& rehearsed, const timeline::Lane& lane, std::size_t step) {
  std::map<std::int32_t, std::size_t> by_set;
  for (const auto& frame : rehearsed.taken.front()) {
    if (static_cast<std::size_t>(frame.id.step) == step) ++by_set[frame.id.set];
  }
  int whole = 0;
  for (const auto& [set, frames] : by_set)
    whole += frames == lane.steps[step].shapes.front().exposures.size();
  return whole;
}

}  // namespace

TEST_CASE("a totality gives at least 95 % of the whole sets a driver gets that does nothing else") {
  // The bar is the project's own; the driver shoots on the same simulated body with the same luck.
  for (const auto* body : {"mirrorless-20", "mirror-24"}) {
    for (const auto* unfinished : {"keep", "drop"}) {
      auto text = with(two_minute_drill, "mirrorless-20", body);
      if (std::string_view{body} == "mirror-24") text = with(text, "drive: continuous, ", "");
      text = with(text, "by: 2 stops}}", std::string{"by: 2 stops}, unfinished: "} + unfinished + "}");
      auto setup = setup_of(text);
      const auto& lane = setup.timeline.lanes.front();
      const std::size_t corona = 3;
      REQUIRE(lane.steps[corona].name == "corona");
      for (const double detune : {0.7, 1.0, 1.3}) {
        setup.detune = detune;
        const auto ours = whole_sets(rehearse(setup), lane, corona);
        const auto greedy = greedy_sets(lane.steps[corona],
                                        SimulatedBody{{lane.profile, lane.files, setup.seed, detune, {}}});
        CAPTURE(body);
        CAPTURE(unfinished);
        CAPTURE(detune);
        CAPTURE(ours);
        CAPTURE(greedy);
        MESSAGE(body << ", " << unfinished << ", " << detune << "x: " << ours << " whole sets, greedy "
                     << greedy);
        REQUIRE(greedy > 10);
        CHECK(ours >= 0.95 * greedy);
      }
    }
  }
}
