#include <string>

#include <doctest/doctest.h>

#include "lib/body/profile_text.h"

using namespace noonfall;
using namespace noonfall::body;

namespace {

constexpr std::string_view good = R"(noonfall_body: 1
name: small
choices:
  shutters: {from: 1/1000, to: 2 s, by: 1/3 stop}
  isos: [100, 200]
setting_times: {shutter: 1 ms, aperture: 2 ms, iso: 3 ms, drive: 4 ms}
release: {typical: 50 ms, jitter: 5 ms}
single:
  - {exposure: 1 ms, interval: 500 ms}
  - {exposure: 1 s, interval: 2 s}
readout: 0 s
buffer: 1 GB
write_rate: 90 MB/s
files: {raw: 30 MB, jpeg: 7 MB}
shutter_types: [mechanical]
battery_frames: 400
card: 64 GB
)";

/// What is said of the good profile after one change in it.
std::string errors_after(std::string_view from, std::string_view to) {
  std::string text{good};
  const auto at = text.find(from);
  REQUIRE(at != std::string::npos);
  text.replace(at, from.size(), to);
  const auto read = parse_profile(text, "small.yaml");
  return read ? "" : to_text(read.error());
}

}  // namespace

TEST_CASE("the profile the errors are made from is good") {
  CHECK(errors_after("small", "other") == "");
}
