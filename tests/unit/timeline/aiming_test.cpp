#include "lib/timeline/aiming.h"

#include <cmath>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#include "tests/unit/timeline/scene.h"

namespace noonfall::timeline {
namespace {

using namespace std::chrono_literals;

const View full_frame{{500}, {36}, {24}};

/// A camera on a fixed mount, with whatever steps.
std::string fixed(double focal_mm, const std::string& steps) {
  return fmt::format(
      "rigs:\n  long:\n    body: {{simulate: mirrorless-20}}\n    lens: {{focal_length: {} mm}}\n"
      "    sensor: {{width: 36 mm, height: 24 mm, pixel: 4.3 um}}\n"
      "    exposure: {{aperture: f/8, iso: 100 to 6400}}\n    filter: {{density: 5.0}}\nsteps:\n{}",
      focal_mm, steps);
}

/// At the Earth's equator a Sun without declination climbs straight up the morning sky.
contacts::Circumstances equator() {
  auto sky = tests::sky();
  sky.site.latitude = {0};
  for (auto& contact : sky.contacts) {
    contact->altitude = contact->apparent_altitude = {45};
    contact->azimuth = {90};
  }
  return sky;
}

}  // namespace

TEST_CASE("the Sun stands in the frame as far off as its angle is wide on the sensor") {
  // 500 mm on 24 x 36 mm see 2.7 x 4.1 degrees (published table of fields): the edge is 2.06 degrees off.
  const Pointing level{{0}, {90}};
  const auto right = place_in_frame(full_frame, level, {{0}, {0}, {92.0625}});
  CHECK(right.right == doctest::Approx(0.5).epsilon(0.002));
  CHECK(right.up == doctest::Approx(0).epsilon(1e-9));
  const auto above = place_in_frame(full_frame, level, {{1.375}, {1.375}, {90}});
  CHECK(above.up == doctest::Approx(0.5).epsilon(0.002));
  // High up a degree of azimuth is short: at 60 degrees half of one at the horizon.
  const auto high = place_in_frame(full_frame, {{60}, {180}}, {{60}, {60}, {181}});
  const auto low = place_in_frame(full_frame, {{0}, {180}}, {{0}, {0}, {181}});
  CHECK(high.right == doctest::Approx(low.right / 2).epsilon(0.001));
}

TEST_CASE("a centred Sun has room for one radius of corona and a half on each side of 500 mm") {
  // "500 mm with one radius of corona on each side spans 9.2 mm" (NASA RP 1318, RP 1398): 4 radii.
  const double radius_mm = 9.2 / 4;
  CHECK(room_in_frame(full_frame, {}) == doctest::Approx(12 / radius_mm).epsilon(0.02));
  CHECK(room_in_frame(full_frame, {0.5, 0}) == doctest::Approx(0));
  CHECK(room_in_frame(full_frame, {0, -0.6}) < 0);
}

TEST_CASE("the Sun moves out of a 24 mm frame at 500 mm in about 11 minutes") {
  // Computed from 15 degrees an hour: "moving out of a 24 mm frame at 500 mm (2.7 degrees) takes ~11 min",
  // the centre that is.
  const auto sky = equator();
  const auto mid = sky.at(contacts::ContactName::mid)->utc;
  const auto stays = stays_in_frame(full_frame, sky, mid, 0);
  REQUIRE(stays);
  CHECK(in_seconds(stays->until - stays->from) / 60 == doctest::Approx(11).epsilon(0.01));
  CHECK(in_seconds(mid - stays->from) == doctest::Approx(in_seconds(stays->until - mid)).epsilon(0.01));
  // Its edge leaves a radius sooner: 64 s of the 2 min 8 s in which the Sun crosses its own width.
  const auto whole = stays_in_frame(full_frame, sky, mid, 1);
  REQUIRE(whole);
  CHECK(in_seconds(stays->until - whole->until) == doctest::Approx(64).epsilon(0.01));
  CHECK_FALSE(stays_in_frame(full_frame, sky, mid, 6));
}

TEST_CASE("the camera is pointed at the Sun as the solver has it then") {
  const contacts::Site luxor{{25.6872}, {32.6396}, {80}};
  const auto sky = contacts::circumstances(
      *contacts::find_elements(contacts::built_in_elements(), Date{std::chrono::year{2027} / 8 / 2}), luxor);
  for (const auto name : {contacts::ContactName::c1, contacts::ContactName::c2, contacts::ContactName::c4}) {
    const auto& contact = *sky.at(name);
    const auto pointing = pointing_at(sky, contact.utc);
    CHECK(pointing.altitude.value == doctest::Approx(contact.apparent_altitude.value).epsilon(0.001));
    CHECK(pointing.azimuth.value == doctest::Approx(contact.azimuth.value).epsilon(0.001));
  }
}

TEST_CASE("a visit aims for the instant it names, else for the middle of the frames up to the next") {
  const auto timeline = tests::timeline_of(
      fixed(300,
            "  - {name: first, rig: long, subject: photosphere, at: [C1 + 2 min, C1 + 4 min]}\n"
            "  - {name: look, hands: long, from: C1 + 10 min, until: C1 + 12 min}\n"
            "  - {name: second, rig: long, subject: photosphere, at: [C1 + 14 min, C1 + 18 min]}\n"
            "  - {name: ahead, hands: long, from: C2 - 12 min, until: C2 - 10 min, aim: C2}\n"
            "  - {name: third, rig: long, subject: photosphere, at: C2 - 2 min}\n"),
      equator());
  const auto& rig = timeline.rigs[0];
  REQUIRE(rig.framing);
  const auto& aimings = rig.framing->aimings;
  REQUIRE(aimings.size() == 3);
  CHECK_FALSE(aimings[0].span);
  CHECK(aimings[0].until == tests::at("08:02:00"));
  CHECK(std::chrono::abs(aimings[0].centred - tests::at("08:03:00")) < 1s);
  CHECK(timeline.hands_on[*aimings[1].span].name == "look");
  CHECK(aimings[1].until == tests::at("08:12:00"));
  CHECK(std::chrono::abs(aimings[1].centred - tests::at("08:16:00")) < 1s);
  CHECK(aimings[2].centred == tests::at("09:00:00"));
  CHECK(&in_force(aimings, tests::at("08:11:00")) == aimings.data());
  CHECK(&in_force(aimings, tests::at("08:12:00")) == &aimings[1]);
  // A Sun that climbs straight up stands below the middle until its instant: 10 minutes are 2.5 degrees.
  const View view{{300}, {36}, {24}};
  const double height_deg = 2 * degrees(std::atan(12.0 / 300)).value;
  CHECK(aimings[2].sun_at_end.up * height_deg == doctest::Approx(-2.5).epsilon(0.01));
  CHECK(aimings[2].sun_at_end.right == doctest::Approx(0).epsilon(0.01));
  CHECK(rig.steps.back().passage->room ==
        doctest::Approx(room_in_frame(view, rig.steps.back().passage->farthest)));
}

TEST_CASE("without a visit of its own totality is what the rig is aimed for") {
  const auto timeline =
      tests::timeline_of(fixed(300,
                               "  - {name: aim, hands: long, from: C2 - 12 min, until: C2 - 10 min}\n"
                               "  - {name: thin, rig: long, subject: photosphere, at: C2 - 2 min}\n"
                               "  - {name: corona, rig: long, subject: corona 1, from: C2 + 10 s, until: C3 "
                               "- 10 s, every: back to "
                               "back}\n"),
                         equator());
  const auto& aimings = timeline.rigs[0].framing->aimings;
  REQUIRE(aimings.size() == 1);
  CHECK(aimings[0].centred == tests::at("09:02:00"));
}

TEST_CASE(
    "a tracking mount has sizes and nothing to aim ahead, a rig without a sensor or the Sun has neither") {
  const auto timeline = tests::timeline_of(
      "steps:\n  - {name: a, rig: long, subject: prominences, at: MID}\n"
      "  - {name: b, rig: wide, subject: landscape, at: MID, exposure: {shutter: 1/60}}\n");
  REQUIRE(timeline.rigs[0].framing);
  CHECK(timeline.rigs[0].framing->aimings.empty());
  CHECK_FALSE(timeline.rigs[0].framing->untrailed);
  CHECK_FALSE(timeline.rigs[0].steps[0].passage);
  CHECK_FALSE(timeline.rigs[1].framing);
}

TEST_CASE("moved to another time, the aims move along and point where they did") {
  const auto timeline =
      tests::timeline_of(fixed(300,
                               "  - {name: look, hands: long, from: C1 + 10 min, until: C1 + 12 min}\n"
                               "  - {name: a, rig: long, subject: photosphere, at: C1 + 14 min}\n"),
                         equator());
  const auto later = moved(timeline, 90min);
  const auto& before = timeline.rigs[0].framing->aimings.at(0);
  const auto& after = later.rigs[0].framing->aimings.at(0);
  CHECK(after.until == before.until + 90min);
  CHECK(after.centred == before.centred + 90min);
  CHECK(after.stays == contacts::TimeSpan{before.stays.from + 90min, before.stays.until + 90min});
  CHECK(after.pointing == before.pointing);
  CHECK(pointing_at(later.circumstances, after.centred).altitude.value ==
        doctest::Approx(after.pointing.altitude.value));
  CHECK(later.rigs[0].steps[0].passage->farthest_at ==
        timeline.rigs[0].steps[0].passage->farthest_at + 90min);
}

TEST_CASE("beads that show before the burst are found, with where it has to begin") {
  const auto text = tests::plan_text(
      "steps:\n  - {name: burst, rig: long, subject: beads, from: C2 - 3 s, until: C2 + 3 s, every: back to "
      "back}\n"
      "  - {name: last, rig: long, subject: beads, from: C3 - 3 s, until: C3 + 3 s, every: back to back}\n");
  const auto sky = tests::sky();
  Assumptions assumptions;
  assumptions.beads_before_c2 = 4s;
  assumptions.beads_after_c3 = 2s;
  const auto built = build(tests::parse_plan(text), sky, tests::profiles_at_hand(), assumptions);
  std::vector<std::string> found;
  for (const auto& finding : built.findings)
    if (finding.code == "beads-missed") found.push_back(finding.message + " | " + finding.hint);
  REQUIRE(found.size() == 1);
  CHECK(found[0] ==
        "\"burst\" begins 3 s before C2, and by the Moon's edge the last five beads go out from C2 - 4 s | "
        "from: C2 - 4 s");
}

TEST_CASE("the span that a finding offers keeps the Sun in the frame") {
  const std::string crescent =
      "  - {name: crescent, rig: long, subject: photosphere, from: C1 + 10 s, until: C2 - 9 min, every: 5 "
      "min}\n";
  const auto before = tests::built(fixed(1000, crescent), equator());
  REQUIRE(tests::warning_codes(before) == "filter-stays-on sun-leaves-frame");
  const auto after = tests::built(fixed(1000, crescent + "  " + before.findings[1].hint + "\n"), equator());
  CHECK(tests::error_codes(after) == "none");
  CHECK(tests::warning_codes(after) == "filter-stays-on");
}

}  // namespace noonfall::timeline
