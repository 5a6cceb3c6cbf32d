#include "lib/body/profile_text.h"

#include <doctest/doctest.h>

#include "lib/body/shipped.h"
#include "tests/unit/body/bodies.h"

using namespace noonfall;
using namespace noonfall::body;
using namespace std::chrono_literals;

namespace {

constexpr std::string_view small = R"(noonfall_body: 1
name: small
choices:
  shutters: [1/1000, 1/60, 2 s]
  isos: {from: 100, to: 800, by: 1 stop}
setting_times: {shutter: 1 ms, aperture: 2 ms, iso: 3 ms, drive: 4 ms}
release: {typical: 50 ms, jitter: 5 ms}
single:
  - {exposure: 1 ms, interval: 0.5 s}
readout: 0 s
buffer: 1.5 GB
write_rate: 90.5 MB/s
files: {raw: 30 MB, jpeg: 7.25 MB}
shutter_types: [electronic first curtain, mechanical]
battery_frames: 400
card: 64 GB
)";

}  // namespace

TEST_CASE("a profile says everything it was written with") {
  const auto read = parse_profile(small, "small.yaml");
  REQUIRE(read);
  Profile wanted;
  wanted.name = "small";
  wanted.choices = {{{1, 1000}, {1, 60}, {2, 1}}, {}, {{100}, {200}, {400}, {800}}};
  wanted.setting_times = {1ms, 2ms, 3ms, 4ms};
  wanted.release = {50ms, 5ms};
  wanted.single = {{1ms, 500ms}};
  wanted.buffer = {1500};
  wanted.write_rate = {90.5};
  wanted.files = {{30}, {7.25}};
  wanted.shutter_types = {ShutterType::electronic_first_curtain, ShutterType::mechanical};
  wanted.battery_frames = 400;
  wanted.card = {64'000};
  CHECK(*read == wanted);
}

TEST_CASE("a printed profile reads back to the same value") {
  std::vector<Profile> profiles{noonfall::tests::round_body(), *parse_profile(small, "small.yaml")};
  for (const auto* name : {"null", "-", "--", "24", "true"}) {  // names YAML would take for something else
    profiles.push_back(profiles.front());
    profiles.back().name = name;
  }
  for (const auto& shipped : shipped_profiles()) profiles.push_back(*find_shipped(shipped.name));
  for (const auto& profile : profiles) {
    const auto text = to_text(profile);
    CAPTURE(text);
    const auto again = parse_profile(text, "again.yaml");
    REQUIRE(again);
    CHECK(*again == profile);
  }
}

TEST_CASE("an unbroken piece of the scale is printed as a range, anything else as a list") {
  const auto text = to_text(*parse_profile(small, "small.yaml"));
  CHECK(text.find("shutters: [1/1000, 1/60, 2 s]") != std::string::npos);
  CHECK(text.find("isos: [100, 200, 400, 800]") != std::string::npos);
  CHECK(to_text(noonfall::tests::round_body()).find("apertures: {from: f/1, to: f/64, by: 1/3 stop}") !=
        std::string::npos);
}

TEST_CASE("sizes are printed in GB where that reads back exactly") {
  CHECK(to_text(Megabytes{25}) == "25 MB");
  CHECK(to_text(Megabytes{2500}) == "2.5 GB");
  CHECK(to_text(Megabytes{64'000}) == "64 GB");
  CHECK(to_text(Megabytes{1100}) == "1100 MB");
}
