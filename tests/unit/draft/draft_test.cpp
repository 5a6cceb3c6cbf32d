#include <fmt/format.h>

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
    // the landscape's, which has none; and the mean limb's
    CHECK((finding.code == "no-filter" || finding.code == "uncertain-contact"));
  }
  CHECK(checked.built.timeline);
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

TEST_CASE("without any eclipse above the horizon there is no draft") {
  const contacts::Site far{{-40}, {175}, {0}};
  CHECK_FALSE(
      draft(tests::request_at(far, {tests::lens(400, plan::Mount::fixed)}), tests::sky_at(in_2027, far)));
}

}  // namespace noonfall::draft
