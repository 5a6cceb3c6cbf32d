#include <string>

#include <doctest/doctest.h>

#include "lib/body/profile_text.h"
#include "lib/yaml/reader.h"

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

TEST_CASE("a misspelt key is refused with its place and a remedy") {
  CHECK(errors_after("shutter_types:", "shuter_types:") ==
        "small.yaml:1:1: error: the body profile has no \"shutter_types\"\n"
        "    1 | noonfall_body: 1\n"
        "      | ^\n"
        "  wanted: the key \"shutter_types\"\n"
        "small.yaml:15:1: error: the body profile has no key \"shuter_types\"\n"
        "   15 | shuter_types: [mechanical]\n"
        "      | ^\n"
        "  wanted: shutter_types\n");
}

TEST_CASE("a later version is refused with its place and a remedy") {
  CHECK(errors_after("noonfall_body: 1", "noonfall_body: 2") ==
        "small.yaml:1:16: error: noonfall_body: \"2\" is out of range\n"
        "    1 | noonfall_body: 2\n"
        "      |                ^\n"
        "  wanted: 1, the version of this format\n");
}

TEST_CASE("a name with a space is refused with its place and a remedy") {
  CHECK(errors_after("name: small", "name: My Body") ==
        "small.yaml:2:7: error: name: \"My Body\" isn't understood\n"
        "    2 | name: My Body\n"
        "      |       ^\n"
        "  wanted: a short name of letters a to z, digits and \"-\"\n");
}

TEST_CASE("a bare number for a shutter time is refused with its place and a remedy") {
  CHECK(errors_after("to: 2 s", "to: 2") ==
        "small.yaml:4:32: error: to: \"2\" is a bare number\n"
        "    4 |   shutters: {from: 1/1000, to: 2, by: 1/3 stop}\n"
        "      |                                ^\n"
        "  wanted: a shutter time like 1/2000 or 2 s\n");
}

TEST_CASE("a value off the scale in a range is refused with its place and a remedy") {
  CHECK(errors_after("to: 2 s", "to: 1/90") ==
        "small.yaml:4:32: error: to: 1/90 isn't on the third-stop scale\n"
        "    4 |   shutters: {from: 1/1000, to: 1/90, by: 1/3 stop}\n"
        "      |                                ^\n"
        "  wanted: 1/80, or a list of all values instead of a range\n");
}

TEST_CASE("a range the wrong way round is refused with its place and a remedy") {
  CHECK(errors_after("to: 2 s", "to: 1/2000") ==
        "small.yaml:4:32: error: to: 1/2000 isn't above 1/1000\n"
        "    4 |   shutters: {from: 1/1000, to: 1/2000, by: 1/3 stop}\n"
        "      |                                ^\n"
        "  wanted: \"from\" the smallest value, \"to\" the largest\n");
}

TEST_CASE("an unknown step of a range is refused with its place and a remedy") {
  CHECK(errors_after("by: 1/3 stop", "by: 1/2 stop") ==
        "small.yaml:4:41: error: by: \"1/2 stop\" isn't known\n"
        "    4 |   shutters: {from: 1/1000, to: 2 s, by: 1/2 stop}\n"
        "      |                                         ^\n"
        "  wanted: 1/3 stop\n");
}

TEST_CASE("a list that doesn't rise is refused with its place and a remedy") {
  CHECK(errors_after("[100, 200]", "[100, 200, 200]") ==
        "small.yaml:5:20: error: isos: ISO 200 comes after ISO 200\n"
        "    5 |   isos: [100, 200, 200]\n"
        "      |                    ^\n"
        "  wanted: each value once, in rising order\n");
}

TEST_CASE("an ISO that isn't one is refused with its place and a remedy") {
  CHECK(errors_after("[100, 200]", "[100, auto]") ==
        "small.yaml:5:15: error: isos: \"auto\" isn't understood\n"
        "    5 |   isos: [100, auto]\n"
        "      |               ^\n"
        "  wanted: an ISO value like 400\n");
}

TEST_CASE("choices of neither form are refused with their place and a remedy") {
  CHECK(errors_after("[100, 200]", "100") ==
        "small.yaml:5:9: error: isos: a text here\n"
        "    5 |   isos: 100\n"
        "      |         ^\n"
        "  wanted: a list of values or {from: …, to: …, by: 1/3 stop}\n");
}

TEST_CASE("a duration without unit is refused with its place and a remedy") {
  CHECK(errors_after("shutter: 1 ms", "shutter: 1") ==
        "small.yaml:6:26: error: shutter: \"1\" is a bare number\n"
        "    6 | setting_times: {shutter: 1, aperture: 2 ms, iso: 3 ms, drive: 4 ms}\n"
        "      |                          ^\n"
        "  wanted: a duration like 40 ms, at most 1 min\n");
}

TEST_CASE("a setting time beyond reason is refused with its place and a remedy") {
  CHECK(errors_after("shutter: 1 ms", "shutter: 2 min") ==
        "small.yaml:6:26: error: shutter: 2 min is out of range\n"
        "    6 | setting_times: {shutter: 2 min, aperture: 2 ms, iso: 3 ms, drive: 4 ms}\n"
        "      |                          ^\n"
        "  wanted: a duration like 40 ms, at most 1 min\n");
}

TEST_CASE("a jitter above the lag is refused with its place and a remedy") {
  CHECK(errors_after("jitter: 5 ms", "jitter: 51 ms") ==
        "small.yaml:7:35: error: jitter: 51 ms is more than the typical lag\n"
        "    7 | release: {typical: 50 ms, jitter: 51 ms}\n"
        "      |                                   ^\n"
        "  wanted: at most 50 ms: no shutter opens before the release\n");
}

TEST_CASE("points that don't rise are refused with their place and a remedy") {
  CHECK(errors_after("exposure: 1 s", "exposure: 1 ms") ==
        "small.yaml:10:16: error: exposure: 1 ms comes after 1 ms\n"
        "   10 |   - {exposure: 1 ms, interval: 2 s}\n"
        "      |                ^\n"
        "  wanted: points by rising exposure\n");
}

TEST_CASE("an interval shorter than its exposure is refused with its place and a remedy") {
  CHECK(errors_after("interval: 2 s", "interval: 0.9 s") ==
        "small.yaml:10:31: error: interval: 900 ms is shorter than a frame can be\n"
        "   10 |   - {exposure: 1 s, interval: 0.9 s}\n"
        "      |                               ^\n"
        "  wanted: from one shutter opening to the next: at least the exposure, above zero\n");
}

TEST_CASE("an empty list of points is refused with its place and a remedy") {
  CHECK(errors_after("single:\n  - {exposure: 1 ms, interval: 500 ms}\n  - {exposure: 1 s, interval: 2 s}",
                     "single: []") ==
        "small.yaml:8:9: error: single: an empty list here\n"
        "    8 | single: []\n"
        "      |         ^\n"
        "  wanted: a list of {exposure: DURATION, interval: DURATION}\n");
}

TEST_CASE("a point that isn't a mapping is refused with its place and a remedy") {
  CHECK(errors_after("  - {exposure: 1 s, interval: 2 s}", "  - 2 s") ==
        "small.yaml:10:5: error: single: a text here\n"
        "   10 |   - 2 s\n"
        "      |     ^\n"
        "  wanted: a mapping, \"key: value\" on each line or {key: value, key: value}\n");
}

TEST_CASE("a buffer too small for a frame is refused with its place and a remedy") {
  CHECK(errors_after("buffer: 1 GB", "buffer: 36 MB") ==
        "small.yaml:12:9: error: buffer: 36 MB doesn't hold one frame\n"
        "   12 | buffer: 36 MB\n"
        "      |         ^\n"
        "  wanted: at least 37 MB, a raw and a jpeg file\n");
}

TEST_CASE("a size without unit is refused with its place and a remedy") {
  CHECK(errors_after("buffer: 1 GB", "buffer: 1000") ==
        "small.yaml:12:9: error: buffer: \"1000\" is a bare number\n"
        "   12 | buffer: 1000\n"
        "      |         ^\n"
        "  wanted: a size like 25 MB or 128 GB, at least 0.1 MB\n");
}

TEST_CASE("a rate in another unit is refused with its place and a remedy") {
  CHECK(errors_after("90 MB/s", "90 MB") ==
        "small.yaml:13:13: error: write_rate: \"90 MB\" isn't understood\n"
        "   13 | write_rate: 90 MB\n"
        "      |             ^\n"
        "  wanted: 0.1 MB/s to 100000 MB/s\n");
}

TEST_CASE("an unknown shutter type is refused with its place and a remedy") {
  CHECK(errors_after("[mechanical]", "[mecanical]") ==
        "small.yaml:15:17: error: shutter_types: \"mecanical\" isn't known\n"
        "   15 | shutter_types: [mecanical]\n"
        "      |                 ^\n"
        "  wanted: mechanical\n");
}

TEST_CASE("a broken count of frames is refused with its place and a remedy") {
  CHECK(errors_after("400", "0") ==
        "small.yaml:16:17: error: battery_frames: \"0\" is out of range\n"
        "   16 | battery_frames: 0\n"
        "      |                 ^\n"
        "  wanted: 1 to 1000000\n");
}

TEST_CASE("choices left out are refused with their place and a remedy") {
  CHECK(
      errors_after("choices:\n  shutters: {from: 1/1000, to: 2 s, by: 1/3 stop}\n  isos: [100, 200]\n", "") ==
      "small.yaml:1:1: error: the body profile has no \"choices\"\n"
      "    1 | noonfall_body: 1\n"
      "      | ^\n"
      "  wanted: the key \"choices\"\n");
}

TEST_CASE("of several errors every one is reported") {
  CHECK(errors_after("buffer: 1 GB\nwrite_rate: 90 MB/s", "buffer: 0 MB\nwrite_rate: fast") ==
        "small.yaml:12:9: error: buffer: \"0 MB\" isn't understood\n"
        "   12 | buffer: 0 MB\n"
        "      |         ^\n"
        "  wanted: a size like 25 MB or 128 GB, at least 0.1 MB\n"
        "small.yaml:13:13: error: write_rate: \"fast\" isn't understood\n"
        "   13 | write_rate: fast\n"
        "      |             ^\n"
        "  wanted: 0.1 MB/s to 100000 MB/s\n");
}

TEST_CASE("of very many errors the first hundred are listed, the rest counted") {
  std::string shutters = "[";
  for (int n = 0; n < 300; ++n) shutters += n == 0 ? "1" : ", 1";
  const auto text =
      std::string{"noonfall_body: 1\nname: small\nchoices: {shutters: "} + shutters + "], isos: [100]}\n";
  const auto profile = parse_profile(text, "small.yaml");
  REQUIRE_FALSE(profile);
  CHECK(profile.error().size() == yaml::most_errors + 1);
}

TEST_CASE("broken YAML is refused with its place and a remedy") {
  CHECK(errors_after("name: small", "name: {small") ==
        "small.yaml:2:7: error: a mapping in braces that isn't closed\n"
        "    2 | name: {small\n"
        "      |       ^\n"
        "  wanted: a closing \"}\"\n"
        "small.yaml:2:8: error: an empty key\n"
        "    2 | name: {small\n"
        "      |        ^\n"
        "  wanted: a word\n");
}
