// How single figures come out of stamps.
#include <algorithm>

#include <doctest/doctest.h>

#include "lib/body/shipped.h"
#include "lib/measure/fit.h"
#include "lib/measure/stamps.h"
#include "tests/unit/measure/virtual_body.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;
using Points = std::vector<body::IntervalPoint>;

namespace {

bool mentions(const std::vector<std::string>& notes, const std::string& words) {
  return std::any_of(notes.begin(), notes.end(),
                     [&](const std::string& note) { return note.find(words) != std::string::npos; });
}

measure::Measured measured_of(const body::Profile& profile, body::OpeningStamp stamp) {
  const auto series = run_series({profile, body::Files::raw, 1, 1, {}, 0});
  auto told = description_of(profile);
  told.opening = stamp;
  auto measured = measure::fit(series, told, {profile.files.raw, {}}, "own");
  REQUIRE(measured.has_value());
  return std::move(*measured);
}

}  // namespace

TEST_CASE("percentiles are values that were measured (nearest-rank method)") {
  // The worked example of the nearest-rank method: 15, 20, 35, 40, 50 (common textbook case, from memory).
  const std::vector<Duration> spans{35us, 20us, 15us, 50us, 40us};
  CHECK(measure::percentile(spans, 0.05) == 15us);
  CHECK(measure::percentile(spans, 0.30) == 20us);
  CHECK(measure::percentile(spans, 0.40) == 20us);
  CHECK(measure::percentile(spans, 0.50) == 35us);
  CHECK(measure::percentile(spans, 1.00) == 50us);
  CHECK(measure::median({}) == 0us);
}

TEST_CASE("points on one line are left out, bends are kept") {
  // Beyond 100 ms a frame grows with its exposure, to within the tolerance.
  const Points level{{1ms, 400ms}, {10ms, 400ms}, {100ms, 402ms}, {500ms, 800ms}, {1s, 1300ms}};
  CHECK(measure::without_needless(level, 4ms) == Points{{1ms, 400ms}, {100ms, 402ms}});
  const Points one{{1ms, 400ms}};
  CHECK(measure::without_needless(one, 4ms) == one);
  // A second of exposure costs a second: the first point says it all.
  CHECK(measure::without_needless({{1ms, 401ms}, {1s, 1400ms}}, 4ms) == Points{{1ms, 401ms}});
  // Noise reduction: a second costs two.
  const Points doubled{{1ms, 400ms}, {500ms, 900ms}, {1s, 2400ms}, {2s, 4400ms}};
  CHECK(measure::without_needless(doubled, 4ms) == doubled);
}

TEST_CASE("notes say what a lag is worth") {
  const auto profile = *body::find_shipped("mirror-24");
  CHECK_FALSE(mentions(measured_of(profile, body::OpeningStamp::told).notes, "NOT the true lag"));
  auto single = profile;
  single.continuous.clear();
  CHECK(mentions(measured_of(single, body::OpeningStamp::inferred).notes, "NOT the true lag"));
}

TEST_CASE("noise reduction of long exposures is noticed") {
  auto profile = *body::find_shipped("mirrorless-20");
  CHECK_FALSE(mentions(measured_of(profile, body::OpeningStamp::told).notes, "noise reduction"));
  profile.single = {{125us, 400ms}, {500ms, 900ms}, {1s, 2400ms}, {2s, 4400ms}};
  CHECK(mentions(measured_of(profile, body::OpeningStamp::told).notes, "a frame of 2 s takes 4.4"));
}

TEST_CASE("what wasn't measured is said") {
  const auto found = measured_of(*body::find_shipped("mirrorless-20"), body::OpeningStamp::told);
  CHECK(mentions(found.notes, "no jpeg file was taken"));
  CHECK(mentions(found.notes, "shutter_types, battery_frames: not measured"));
}

TEST_CASE("a body's name can't end its comment") {
  auto found = measured_of(*body::find_shipped("mirrorless-20"), body::OpeningStamp::told);
  found.notes = {"one\nname: other"};
  CHECK(measure::to_yaml(found).starts_with("# one name: other\n\n"));
}
