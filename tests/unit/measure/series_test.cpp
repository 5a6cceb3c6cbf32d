// What a series asks, and how it ends when the body doesn't play along.
#include <doctest/doctest.h>

#include "lib/body/shipped.h"
#include "lib/measure/fit.h"
#include "tests/unit/measure/virtual_body.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;
using measure::Part;

namespace {

body::Profile shipped() {
  return *body::find_shipped("mirrorless-20");
}

const Utc start{std::chrono::hours{24 * 365 * 57}};

int count_of(const measure::Series& series, Part part) {
  int count = 0;
  for (const auto& one : series.heard()) count += one.part == part ? 1 : 0;
  return count;
}

}  // namespace

TEST_CASE("no more frames are taken than were announced, and the body's own count agrees") {
  const auto profile = shipped();
  sim::SimulatedBody body{{profile, body::Files::raw, 1, 1, {}, 0}};
  const measure::Subject subject{profile.choices, true};
  const auto announced = measure::Series{subject}.ahead();
  const auto series = run_series(body, subject);
  CHECK(series.why_failed().empty());
  CHECK(series.frames_taken() == static_cast<int>(body.taken().size()));
  CHECK(series.frames_taken() <= announced.frames);
  CHECK(series.ahead() == measure::Extent{});
  // The announcement is for planning a coffee: right to within a factor of two.
  const auto took = body.taken().back().closed - body.taken().front().released;
  CHECK(announced.lasts > took / 2);
  CHECK(announced.lasts < 2 * took);
}

TEST_CASE("no exposure is longer than two seconds, and settings change one at a time") {
  const auto profile = shipped();
  const auto series = run_series({profile, body::Files::raw, 1, 1, {}, 0});
  for (const auto& one : series.heard()) {
    if (const auto* set = std::get_if<rig::SettingsCall>(&one.call))
      CHECK(exposure::nominal_seconds(set->exposure.shutter) <= 2);
  }
  for (const auto part : {Part::shutter_change, Part::aperture_change, Part::iso_change, Part::drive_change})
    CHECK(count_of(series, part) == 6);
}

TEST_CASE("a body that can't set the lens is asked for no aperture") {
  auto profile = shipped();
  profile.choices.apertures.clear();
  const auto series = run_series({profile, body::Files::raw, 1, 1, {}, 0});
  CHECK(series.why_failed().empty());
  CHECK(count_of(series, Part::aperture_change) == 0);
  for (const auto& one : series.heard()) {
    if (const auto* set = std::get_if<rig::SettingsCall>(&one.call)) CHECK_FALSE(set->exposure.aperture);
  }
}

TEST_CASE("where the burst a body offers is refused, the rest is measured") {
  const auto profile = shipped();
  const sim::Fault refused{start - 1h, start + 24h, std::nullopt,
                           sim::RefusedSetting{sim::SettingValue{body::Drive::continuous}}};
  const auto series = run_series({profile, body::Files::raw, 1, 1, {refused}, 0});
  CHECK(series.why_failed().empty());
  CHECK(count_of(series, Part::burst) == 0);
  CHECK(count_of(series, Part::fill) == 0);
  CHECK(count_of(series, Part::single_frame) == 24);
}

TEST_CASE("a body that goes away ends the series with its reason, and no profile is made of it") {
  const auto profile = shipped();
  const sim::Fault gone{start + 10s, start + 24h, std::nullopt, sim::BodyGone{}};
  const auto series = run_series({profile, body::Files::raw, 1, 1, {gone}, 0});
  CHECK(series.why_failed() == "single frames: the body is off the line");
  const auto measured = measure::fit(series, description_of(profile), {profile.files.raw, {}}, "own");
  REQUIRE_FALSE(measured.has_value());
  CHECK(measured.error().front().message ==
        "the series ended early: single frames: the body is off the line");
}

TEST_CASE("a body that stays busy ends the series after half a minute") {
  const auto profile = shipped();
  const sim::Fault busy{start + 10s, start + 24h, std::nullopt, sim::BusyReleases{}};
  const auto series = run_series({profile, body::Files::raw, 1, 1, {busy}, 0});
  CHECK(series.why_failed() == "single frames: busy for half a minute: the body is busy");
}
