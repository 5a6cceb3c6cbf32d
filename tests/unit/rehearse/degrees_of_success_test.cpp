#include <map>

#include <doctest/doctest.h>

#include "tests/unit/rehearse/greedy.h"
#include "tests/unit/rehearse/plan_fixture.h"

using namespace noonfall;
using namespace noonfall::sim;

namespace {

const std::string corona_only = R"(noonfall: 1
title: Headland
eclipse: 2027-08-02
site: {latitude: 36.0139, longitude: -5.6033, elevation: 12 m}
rigs:
  long:
    body: {simulate: BODY}
    lens: {focal_length: 600 mm}
    mount: tracking
    exposure: {aperture: f/8, iso: 400}
    filter: {density: 5.0}
steps:
  - {name: corona, rig: long, subject: corona 0.1 to 4, from: C2 + 8 s, until: C3 - 12 s, every: back to back,
     bracket: {from: 1/2000, to: 2 s, by: 2 stops}, unfinished: UNFINISHED}
)";

std::string with(std::string text, const std::string& from, const std::string& to) {
  text.replace(text.find(from), from.size(), to);
  return text;
}

int whole_sets(const Rehearsed& rehearsed, const timeline::RigTimeline& rig, std::size_t step) {
  std::map<std::int32_t, std::size_t> by_set;
  for (const auto& frame : rehearsed.taken.front()) {
    if (static_cast<std::size_t>(frame.id.step) == step) ++by_set[frame.id.set];
  }
  int whole = 0;
  for (const auto& [set, frames] : by_set) whole += frames == rig.steps[step].shapes.front().exposures.size();
  return whole;
}

}  // namespace

TEST_CASE("a totality gives at least 95 % of the whole sets a driver gets that does nothing else") {
  // The bar is the project's own; the driver shoots on the same simulated body with the same luck.
  for (const std::string body : {"mirrorless-20", "mirror-24"}) {
    for (const std::string unfinished : {"keep", "drop"}) {
      const auto text = with(with(corona_only, "BODY", body), "UNFINISHED", unfinished);
      auto setup = setup_of(text);
      const auto& rig = setup.timeline.rigs.front();
      const std::size_t corona = 0;
      REQUIRE(rig.steps[corona].name == "corona");
      for (const double detune : {0.7, 1.0, 1.3}) {
        setup.detune = detune;
        const auto ours = whole_sets(rehearse(setup), rig, corona);
        const auto greedy =
            greedy_sets(rig.steps[corona], SimulatedBody{{rig.profile, rig.files, setup.seed, detune, {}}});
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

TEST_CASE(
    "a bracket of the body's own brings more whole sets than frames one by one, each exposed as planned") {
  const auto text = with(with(with(corona_only, "BODY", "mirrorless-20"), "UNFINISHED", "keep"),
                         "to: 2 s, by: 2 stops", "to: 1/8, by: 2 stops");
  const auto in_body = with(text, "by: 2 stops", "by: 2 stops, in body: true");
  for (const double detune : {0.7, 1.0, 1.3}) {
    CAPTURE(detune);
    auto single = setup_of(text);
    auto own = setup_of(in_body);
    single.detune = own.detune = detune;
    const auto rehearsed = rehearse(own);
    const auto whole = whole_sets(rehearsed, own.timeline.rigs.front(), 0);
    const auto one_by_one = whole_sets(rehearse(single), single.timeline.rigs.front(), 0);
    MESSAGE(whole, " whole sets of five in the body, ", one_by_one, " one by one");
    CHECK(whole >= 2 * one_by_one);
    // Each frame asked for was taken, once, with its exposure.
    CHECK(count(rehearsed).fired == static_cast<int>(rehearsed.taken.front().size()));
    const auto& set = own.timeline.rigs.front().steps.front().shapes.front().exposures;
    REQUIRE(set.size() == 5);
    CHECK(set.front().shutter == exposure::Shutter{1, 125});
    for (const auto& frame : rehearsed.taken.front())
      CHECK(frame.exposure == set[static_cast<std::size_t>(frame.id.frame - 1)]);
  }
}
