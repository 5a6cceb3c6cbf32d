// What the core makes of small pictures: it tells and proposes, and changes nothing by itself.
#include <cmath>
#include <utility>

#include <doctest/doctest.h>

#include "lib/time/utc_text.h"
#include "tests/unit/run/fixture.h"

using namespace noonfall;
using namespace noonfall::run;

namespace {

/// One filtered step, before the Moon comes; the Sun stands 60 degrees high, where exposures are tried out.
timeline::Timeline with_sun() {
  auto timeline = timeline_with_window();
  auto& rig = timeline.rigs.front();
  rig.filtered_light =
      timeline::FilteredLight{{std::log2(64 * 512 / 400.0)}};  // `quick`, by t = N^2 / (ISO 2^Q)
  rig.steps = {targets("partial", {20s, 40s, 60s})};
  timeline.circumstances.site.latitude = Degrees{30};
  for (const auto& [name, when] : {std::pair{contacts::ContactName::c1, 100s},
                                   {contacts::ContactName::mid, 150s},
                                   {contacts::ContactName::c4, 200s}}) {
    contacts::Contact contact;
    contact.utc = at(when);
    contact.altitude = contact.apparent_altitude = Degrees{60};
    contact.azimuth = Degrees{180};
    timeline.circumstances.contacts[static_cast<std::size_t>(name)] = contact;
  }
  return timeline;
}

/// A frame at `when` that came out so many stops brighter than the table's; 0.631 of full is the table's own.
Input looked(Duration when, double brighter, int step = 0) {
  look::SunSeen seen;
  seen.pixels = 300;
  seen.brightness = 0.631 * std::exp2(brighter);
  seen.edge = 0.4;
  seen.room = 0.3;
  return PictureSeen{{0, step, 1, 1}, at(when), quick, seen};
}

Input black(Duration when) {
  return PictureSeen{{0, 0, 1, 1}, at(when), quick, {}};
}

std::string lines_of(Bench& bench, const std::vector<Input>& inputs) {
  std::string all;
  for (std::size_t n = 0; n < inputs.size(); ++n) all += bench.lines(60s + (n + 1) * 1s, {inputs[n]}) + "\n";
  return all;
}

bool has(const std::string& text, const std::string& what) {
  return text.find(what) != std::string::npos;
}

}  // namespace

TEST_CASE("a dark filter is told once, with a trim that is only proposed") {
  Bench bench{with_sun()};
  bench.step(0s);
  const auto told = lines_of(
      bench, {looked(20s, -0.7), looked(22s, -0.7), looked(24s, -0.7), looked(26s, -0.7), looked(28s, -0.7)});
  CHECK(has(told, "look long: the Sun is well in the frame"));
  CHECK(has(told, "0.7 stop dark since " + to_text_us(at(20s)).substr(11, 5) + " UTC"));
  CHECK(has(told, "; trim +0.67\n"));
  CHECK(told.find("stop dark") == told.rfind("stop dark"));
  CHECK_FALSE(has(told, "command"));
  // Taken by the operator, it is over.
  CHECK(has(bench.lines(70s, {Request{Trim{"long", 2.0 / 3}}}), "command \"trim long +2/3 stop\""));
  CHECK(has(bench.lines(71s, {looked(30s, -0.7)}), "as computed"));
}

TEST_CASE("a cap that stays on calls for hands once") {
  Bench bench{with_sun()};
  bench.step(0s);
  const auto told = lines_of(bench, {black(20s), black(22s), black(24s)});
  CHECK(has(told, "look long: black: the cap is on"));
  CHECK(has(told, "cue \"Hands needed at long.\""));
  CHECK(told.find("Hands needed") == told.rfind("Hands needed"));
}

TEST_CASE("pictures of other frames are no matter") {
  Bench bench{with_sun()};
  bench.step(0s);
  CHECK_FALSE(has(lines_of(bench, {looked(20s, -3, 7), looked(20s, -3, -1),
                                   PictureSeen{{3, 0, 1, 1}, at(20s), quick, {}}}),
                  "look"));
  auto unfiltered = with_sun();
  unfiltered.rigs.front().steps.front().filtered = false;
  Bench other{unfiltered};
  other.step(0s);
  CHECK_FALSE(has(lines_of(other, {black(20s), black(22s)}), "look"));
}
