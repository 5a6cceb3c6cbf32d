#include <algorithm>

#include <fmt/format.h>

#include "lib/draft/phases.h"

#include "tests/unit/draft/drafts.h"

namespace noonfall::draft {
namespace {

const Date in_2027{std::chrono::year{2027} / 8 / 2};
const contacts::Site breakwater{{36.0139}, {-5.6033}, {12}};

/// The names of the steps, in order.
std::string steps_of(const Request& request, const contacts::Circumstances& sky) {
  const auto drafted = draft(request, sky);
  REQUIRE(drafted);
  std::string names;
  for (const auto& step : drafted->plan.steps) names += step.name + "; ";
  return names;
}

}  // namespace

TEST_CASE("a long totality on a tracking mount has every part of it, and its mirror") {
  const auto request = tests::request_at(breakwater, {tests::lens(600, plan::Mount::tracking)});
  CHECK(steps_of(request, tests::sky_at(in_2027, breakwater)) ==
        "crescent in; aim and focus in; thin crescent in; diamond in; beads in; chromosphere in; prominences "
        "in; "
        "corona in; earthshine; corona out; prominences out; chromosphere out; beads out; diamond out; thin "
        "crescent "
        "out; aim and focus out; crescent out; ");
}

TEST_CASE("on a fixed mount hands follow the Sun, and there is no earthshine") {
  const auto request = tests::request_at(breakwater, {tests::lens(600, plan::Mount::fixed)});
  CHECK(steps_of(request, tests::sky_at(in_2027, breakwater)) ==
        "crescent in; follow in; aim and focus in; thin crescent in; diamond in; beads in; chromosphere in; "
        "prominences "
        "in; corona; prominences out; chromosphere out; beads out; diamond out; thin crescent out; aim and "
        "focus out; "
        "follow out; crescent out; ");
}

TEST_CASE("a partial eclipse is shot behind the filter throughout") {
  const contacts::Site london{{51.48}, {0}, {40}};
  const auto request = tests::request_at(london, {tests::lens(400, plan::Mount::tracking)});
  const auto sky = tests::sky_at(in_2027, london);
  CHECK(steps_of(request, sky) == "crescent; ");
  const auto checked = tests::checked(request, sky);
  REQUIRE(checked.built.timeline);
  CHECK_FALSE(checked.built.timeline->rigs[0].window);
}

TEST_CASE("a ring is shot behind the filter, closer together as it closes and breaks") {
  const contacts::Site seville{{37.39}, {-5.99}, {10}};
  const auto request = tests::request_at(seville, {tests::lens(600, plan::Mount::tracking)});
  const auto sky = tests::sky_at({std::chrono::year{2028} / 1 / 26}, seville);
  REQUIRE(sky.kind == contacts::Kind::annular);
  CHECK(draft(request, sky)->comments.plan.find("the ring, drafted") != std::string::npos);
}

TEST_CASE("several rigs, one by hand and one on the landscape, share a plan that can be shot") {
  auto hand = tests::lens(300, plan::Mount::tracking);
  hand.name = "second";
  hand.body.reset();
  auto wide = tests::lens(24, plan::Mount::fixed);
  wide.name = "landscape";
  wide.filter_density.reset();
  const auto request = tests::request_at(breakwater, {tests::lens(600, plan::Mount::tracking), hand, wide});
  const auto checked = tests::checked(request, tests::sky_at(in_2027, breakwater));
  for (const auto& finding : checked.built.findings) {
    CAPTURE(to_text(finding));
    CHECK(finding.code == "uncertain-contact");
  }
  CHECK(checked.built.timeline);
}

TEST_CASE("one person is wanted at one rig at a time, fixed, tracking or by hand") {
  auto fixed = tests::lens(600, plan::Mount::fixed, "mirrorless-12");
  auto shorter = tests::lens(300, plan::Mount::fixed, "mirrorless-12");
  shorter.name = "short";
  auto tracking = tests::lens(800, plan::Mount::tracking, "mirrorless-12");
  tracking.name = "tube";
  auto hand = tests::lens(200, plan::Mount::fixed);
  hand.name = "pocket";
  hand.body.reset();
  hand.sensor.reset();
  for (const auto& rigs : {std::vector{fixed, shorter}, std::vector{fixed, tracking},
                           std::vector{shorter, hand}, std::vector{fixed, shorter, tracking, hand}}) {
    const auto checked =
        tests::checked(tests::request_at(breakwater, rigs), tests::sky_at(in_2027, breakwater));
    CAPTURE(checked.text);
    for (const auto& finding : checked.built.findings) {
      CAPTURE(to_text(finding));
      CHECK(finding.code == "uncertain-contact");
    }
    CHECK(checked.built.timeline);
  }
}

TEST_CASE("a wide aperture is stopped down where the body's shortest shutter would be too long") {
  auto fast = tests::lens(400, plan::Mount::tracking);
  fast.aperture = {28};
  const auto checked =
      tests::checked(tests::request_at(breakwater, {fast}), tests::sky_at(in_2027, breakwater));
  for (const auto& finding : checked.built.findings) {
    CAPTURE(to_text(finding));
    CHECK(finding.code == "uncertain-contact");
  }
  CHECK(checked.built.timeline);
}

namespace {

const plan::Step& step_named(const plan::Plan& plan, const std::string& name) {
  const auto found = std::ranges::find(plan.steps, name, &plan::Step::name);
  REQUIRE(found != plan.steps.end());
  return *found;
}

plan::BackToBack span_of(const plan::Step& step) {
  return std::get<plan::BackToBack>(std::get<plan::Shooting>(step.what).pace);
}

Duration offset_of(const plan::Instant& instant) {
  return std::get<plan::ContactOffset>(instant.value).offset;
}

}  // namespace

TEST_CASE(
    "with the beads known the burst begins before the first of them, and is at full speed at the last") {
  using namespace std::chrono_literals;
  auto sky = tests::sky_at(in_2027, breakwater);
  for (const auto name : {contacts::ContactName::c2, contacts::ContactName::c3})
    sky.contacts[static_cast<std::size_t>(name)]->uncertainty = 400ms;
  auto request = tests::request_at(breakwater, {tests::lens(600, plan::Mount::tracking)});
  request.beads_last = 3s;
  const auto with_beads = draft(request, sky);
  REQUIRE(with_beads);
  const auto burst = span_of(step_named(with_beads->plan, "beads in"));
  CHECK(offset_of(burst.from) == -4s);
  CHECK(offset_of(burst.until) == 1s);
  // More beads than the buffer has room for: those farthest from the contact are left out, none at it.
  request.beads_last = 9s;
  const auto many = draft(request, sky);
  REQUIRE(many);
  const auto cut = span_of(step_named(many->plan, "beads in"));
  CHECK(offset_of(cut.until) == 1s);
  CHECK(offset_of(cut.from) < -4s);
  const auto full = full_speed_for(*request.rigs[0].body, body::Files::raw, {1, 4000});
  CHECK(offset_of(cut.until) - offset_of(cut.from) < *full);
}

TEST_CASE("a lens too long for the fixed mount is aimed anew in the middle of totality") {
  const auto request = tests::request_at(breakwater, {tests::lens(1000, plan::Mount::fixed)});
  const auto sky = tests::sky_at(in_2027, breakwater);
  const auto names = steps_of(request, sky);
  CHECK(names.find("corona 1; aim again 1; corona 2; ") != std::string::npos);
  const auto checked = tests::checked(request, sky);
  REQUIRE(checked.built.timeline);
  for (const auto& step : checked.built.timeline->rigs[0].steps) {
    CAPTURE(step.name);
    REQUIRE(step.passage);
    CHECK(step.passage->room >= 1);
  }
  // The cue halfway waits until the hands are off.
  CHECK(checked.text.find("{at: MID + 15 s, say: Halfway. Look up.}") != std::string::npos);
}

TEST_CASE("without any eclipse above the horizon there is no draft") {
  const contacts::Site far{{-40}, {175}, {0}};
  CHECK_FALSE(
      draft(tests::request_at(far, {tests::lens(400, plan::Mount::fixed)}), tests::sky_at(in_2027, far)));
}

}  // namespace noonfall::draft
