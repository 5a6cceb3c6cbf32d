// Measuring a simulated body in virtual time has to give back the profile it was made of: the world that
// these checks compare with is the body's own profile, detuned as it is. Tolerances stand beside each check.
#include <cmath>
#include <string>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "lib/body/model.h"
#include "lib/body/profile_text.h"
#include "lib/body/shipped.h"
#include "lib/measure/fit.h"
#include "sim/body/detune.h"
#include "tests/unit/measure/virtual_body.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;
using body::Drive;
using body::Profile;

namespace {

struct Case {
  std::string profile;
  double detune;
  std::uint64_t seed;
};
const Case cases[] = {{"mirrorless-20", 1, 1},   {"mirrorless-20", 1, 2},   {"mirrorless-20", 0.7, 3},
                      {"mirrorless-20", 1.3, 4}, {"mirror-24", 1, 5},       {"mirror-24", 0.7, 6},
                      {"mirror-24", 1.3, 7},     {"mirrorless-20", 1.3, 8}, {"mirror-24", 1, 9}};

measure::Measured measure_body(const Profile& profile, double detune, std::uint64_t seed) {
  const auto series = run_series({profile, body::Files::raw, seed, detune, {}, 0});
  auto measured = measure::fit(series, description_of(profile), {profile.files.raw, {}}, profile.name);
  REQUIRE_MESSAGE(measured.has_value(), (measured ? "" : measured.error().front().message));
  return std::move(*measured);
}

void check_near(Duration found, Duration truth, double share, Duration slack) {
  const auto most = from_seconds(in_seconds(truth) * share) + slack;
  INFO(fmt::format("found {} us, truly {} us", found.count(), truth.count()));
  CHECK(std::chrono::abs(found - truth) <= most);
}

void check_pace(const Profile& found, const Profile& truth, Drive drive, double share, Duration slack) {
  for (const auto shutter : truth.choices.shutters) {
    if (body::open_time(shutter) > 4s) continue;
    INFO(exposure::to_text(shutter), " ", body::to_text(drive));
    check_near(body::frame_interval(found, drive, shutter), body::frame_interval(truth, drive, shutter),
               share, slack);
  }
}

void check_profile(const Profile& found, const Profile& truth) {
  // Answers in virtual time are exact; a tenth of a millisecond is the profile's rounding.
  check_near(found.setting_times.shutter, truth.setting_times.shutter, 0, 100us);
  check_near(found.setting_times.aperture, truth.setting_times.aperture, 0, 100us);
  check_near(found.setting_times.iso, truth.setting_times.iso, 0, 100us);
  check_near(found.setting_times.drive, truth.setting_times.drive, 0, 100us);
  check_near(found.readout, truth.readout, 0, 100us);
  // Over fifty tries of a lag spread by the jitter.
  check_near(found.release.typical, truth.release.typical, 0, truth.release.jitter / 4);
  check_near(found.release.jitter, truth.release.jitter, 0.25, 0us);
  // A host that is told "busy" asks again some milliseconds later, so frames come a little apart.
  check_pace(found, truth, Drive::single, 0.03, 5ms);
  check_pace(found, truth, Drive::continuous, 0.03, 2ms);
  CHECK(found.buffer.value == doctest::Approx(truth.buffer.value).epsilon(0.05));
  CHECK(found.write_rate.value == doctest::Approx(truth.write_rate.value).epsilon(0.03));
}

}  // namespace

TEST_CASE("measuring a simulated body gives back its profile") {
  for (const auto& one : cases) {
    INFO(one.profile, " at ", one.detune, ", seed ", one.seed);
    const auto profile = *body::find_shipped(one.profile);
    const auto found = measure_body(profile, one.detune, one.seed);
    check_profile(found.profile, sim::detuned(profile, one.detune));
    CHECK(found.profile.choices == profile.choices);
    CHECK(found.profile.files.raw == profile.files.raw);
    CHECK(found.filling.filled);
  }
}

TEST_CASE("a measured profile is text that reads back to the same value") {
  const auto profile = *body::find_shipped("mirrorless-20");
  const auto found = measure_body(profile, 1, 11);
  const auto text = measure::to_yaml(found);
  INFO(text);
  CHECK(text.starts_with("# Measured on simulated mirrorless-20, serial 3012345, in "));
  const auto read = body::parse_profile(text, "own.yaml");
  REQUIRE(read.has_value());
  CHECK(*read == found.profile);
}

TEST_CASE("every lag of a further series lies within the measured bounds") {
  const auto profile = *body::find_shipped("mirrorless-20");
  const auto found = measure_body(profile, 1, 12).profile.release;
  int outside = 0;
  int frames = 0;
  for (std::uint64_t seed = 100; seed < 120; ++seed) {
    for (const auto lag : measure_body(profile, 1, seed).lags) {
      ++frames;
      outside += std::chrono::abs(lag - found.typical) > found.jitter ? 1 : 0;
    }
  }
  CHECK(frames > 1000);
  CHECK(outside <= frames / 100);
}

TEST_CASE("a body without a burst is measured by single frames, and its buffer is told as a bound") {
  auto profile = *body::find_shipped("mirrorless-20");
  profile.continuous.clear();
  const auto found = measure_body(profile, 1, 1);
  CHECK(found.profile.continuous.empty());
  CHECK_FALSE(found.filling.filled);
  CHECK(found.filling.frames == 40);
  // 40 frames of 25 MB, 0.4 s apart, never waited: what is claimed must not exceed what the body has.
  CHECK(found.profile.buffer <= profile.buffer);
  CHECK(found.profile.write_rate <= profile.write_rate);
  check_pace(found.profile, profile, Drive::single, 0.03, 5ms);
}

TEST_CASE("a small buffer fills by single frames too") {
  auto profile = *body::find_shipped("mirror-24");
  profile.continuous.clear();
  profile.buffer = {150};
  profile.write_rate = {30};
  const auto found = measure_body(profile, 1, 1);
  CHECK(found.filling.filled);
  // Frames come 0.55 s apart and wait 0.93 s for the card; the host asks every 7 ms.
  CHECK(found.profile.buffer.value == doctest::Approx(150).epsilon(0.1));
  CHECK(found.profile.write_rate.value == doctest::Approx(30).epsilon(0.03));
}

TEST_CASE("a host that is told nothing of the shutter finds all but the lag itself, and bounds that") {
  for (const auto& one : cases) {
    INFO(one.profile, " at ", one.detune, ", seed ", one.seed);
    const auto profile = *body::find_shipped(one.profile);
    const auto truth = sim::detuned(profile, one.detune);
    sim::SimulatedBody body{{profile, body::Files::raw, one.seed, one.detune, {}, 0}};
    HostView view{body, truth};
    auto told = description_of(profile);
    told.opening = body::OpeningStamp::inferred;
    const auto series = run_series(view, {profile.choices, true, told.opening});
    REQUIRE(series.why_failed().empty());
    const auto found = measure::fit(series, told, {profile.files.raw, {}}, profile.name);
    REQUIRE(found.has_value());
    const auto& p = found->profile;
    check_near(p.setting_times.shutter, truth.setting_times.shutter, 0, 100us);
    check_near(p.setting_times.iso, truth.setting_times.iso, 0, 100us);
    // Each lag of the body lies within what is claimed, and lag and readout add up to the truth; a host asks
    // a busy body again some milliseconds later.
    CHECK(p.release.jitter == p.release.typical);
    CHECK(p.release.typical + p.release.jitter >= truth.release.typical + truth.release.jitter);
    check_near(p.release.typical + p.readout, truth.release.typical + truth.readout, 0,
               truth.release.jitter / 2 + 7ms);
    // The jitter of a lag is in each interval from release to release, a few times less in the least of four.
    check_pace(p, truth, Drive::single, 0.03, truth.release.jitter);
    check_pace(p, truth, Drive::continuous, 0.03, truth.release.jitter / 4);
    CHECK(found->filling.filled);
    CHECK(p.write_rate.value == doctest::Approx(truth.write_rate.value).epsilon(0.02));
    CHECK(p.buffer.value == doctest::Approx(truth.buffer.value).epsilon(0.08));
  }
}

TEST_CASE("a body's own bracket is timed against its bursts, and stands in the profile where it takes one") {
  const auto truth = body::find_shipped("mirrorless-20").value();
  const auto profile_of = [&](const Profile& body_is, std::optional<body::OwnBrackets> offered) {
    sim::SimulatedBody body{{body_is, body::Files::raw, 1, 1, {}, 0}};
    const auto series = run_series(body, {truth.choices, true, body::OpeningStamp::told, std::move(offered)});
    auto measured = measure::fit(series, description_of(truth), {truth.files.raw, {}}, "one");
    REQUIRE(measured.has_value());
    return std::move(*measured);
  };
  const auto own = profile_of(truth, truth.brackets);
  CHECK(own.profile.brackets == truth.brackets);
  REQUIRE(own.bracket.has_value());
  CHECK(own.bracket->times == std::vector<exposure::Shutter>{{1, 1000}, {1, 2000}, {1, 500}});
  // Two intervals of its burst, the last exposure, the lag.
  check_near(own.bracket->took, 2 * 50ms + 1953us + truth.release.typical, 0, truth.release.jitter);
  const auto note = "brackets: as the body offers them. 3 frames took ";
  CHECK(measure::to_yaml(own).find(note) != std::string::npos);
  CHECK(body::parse_profile(measure::to_yaml(own), "one.yaml").has_value());
  auto without = truth;
  without.brackets.reset();
  const auto none = profile_of(without, truth.brackets);
  CHECK_FALSE(none.profile.brackets.has_value());
  CHECK(measure::to_yaml(none).find("bracket") == std::string::npos);
}
