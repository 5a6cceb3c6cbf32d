// What frames are taken with. Brightness is checked against NASA RP 1369, Table 16 (1997), through
// lib/exposure.
#include <doctest/doctest.h>

#include "lib/timeline/print.h"
#include "tests/unit/timeline/scene.h"

namespace noonfall::timeline {
namespace {

/// The exposures of a step of `long` (or of the rig named in `keys`), set by set, as texts.
std::string exposures_of(const std::string& keys) {
  const auto timeline = tests::timeline_of("steps:\n  - {name: a, rig: long, at: MID, " + keys + "}\n");
  std::string all;
  for (const auto& shape : timeline.rigs[0].steps.at(0).shapes) {
    for (const auto& exposure : shape.exposures) all += exposure::to_text(exposure.shutter) + " ";
    all += "@ ISO " + std::to_string(shape.exposures[0].iso.value) + "; ";
  }
  return all;
}

}  // namespace

TEST_CASE("a shutter the plan leaves open comes from the brightness table") {
  // t = N^2 / (ISO 2^Q): 64 / (200 * 2^9) = 1/1600
  CHECK(exposures_of("subject: prominences") == "1/1600 @ ISO 200; ");
  // a range of heights is exposed for the middle of Q 7 and Q 1: 64 / (200 * 2^4) = 1/50
  CHECK(exposures_of("subject: corona 0.1 to 1") == "1/50 @ ISO 200; ");
}

TEST_CASE("the step's exposure wins over the rig's, and a set's over the step's") {
  CHECK(exposures_of(
            "subject: corona 1, exposure: {shutter: 1/30, iso: 400}, sets: [{shutter: 1/8}, {iso: 800}]") ==
        "1/8 @ ISO 400; 1/30 @ ISO 800; ");
}

TEST_CASE("limits leave the choice to the subject: short shutter first, then low ISO") {
  // ideal at ISO 800: 64 / (800 * 2^9) = 1/6400; the shortest shutter wanted decides
  CHECK(exposures_of("subject: prominences, exposure: {shutter: 1/8000 to 1/1000, iso: 100 to 800}") ==
        "1/6400 @ ISO 800; ");
}

TEST_CASE("centred brackets are centred on what the subject wants") {
  CHECK(exposures_of("subject: prominences, bracket: {frames: 3, by: 1 stop}") ==
        "1/3200 1/1600 1/800 @ ISO 200; ");
}

TEST_CASE("ladders and lists are taken as written, in their order") {
  CHECK(exposures_of("subject: corona 1, bracket: {from: 1/500, to: 1/8, by: 2 stops, order: long first}") ==
        "1/8 1/30 1/125 1/500 @ ISO 200; ");
  CHECK(exposures_of("subject: corona 1, bracket: {from: 1/125, to: 1/8, by: 2 stops, order: mirrored}") ==
        "1/125 1/30 1/8 1/30 1/125 @ ISO 200; ");
  CHECK(exposures_of("subject: corona 1, bracket: {shutters: [1/8, 1/500, 1/30]}") ==
        "1/8 1/500 1/30 @ ISO 200; ");
}

TEST_CASE("a bracket that mirrors another turns its order around") {
  const auto timeline = tests::timeline_of(
      "steps:\n  - {name: a, rig: long, subject: corona 1, at: C2 + 20 s, bracket: {shutters: [1/8, 1/500, "
      "1/30]}}\n"
      "  - {name: b, mirror: a}\n");
  CHECK(timeline.rigs[0].steps[1].shapes[0].exposures[0].shutter == exposure::Shutter{1, 30});
  CHECK(timeline.rigs[0].steps[1].shapes[0].exposures[2].shutter == exposure::Shutter{1, 8});
}

TEST_CASE("the filtered Sun is exposed for the filter's density, everything else for none") {
  // Q 8 at density 5: 64 / (200 * 2^8) = 1/800
  CHECK(tests::timeline_of("steps:\n  - {name: a, rig: long, at: C1, subject: photosphere}\n")
            .rigs[0]
            .steps[0]
            .shapes[0]
            .exposures[0]
            .shutter == exposure::Shutter{1, 800});
}

TEST_CASE("on a body that can't set the lens the plan's f-number is used and none is sent") {
  const auto timeline = tests::timeline_of(R"(rigs:
  long: {body: {simulate: on-telescope}, lens: {focal_length: 600 mm}, mount: tracking, exposure: {aperture: f/8, iso: 200}, filter: {density: 5.0}}
steps:
  - {name: a, rig: long, subject: prominences, at: MID}
)");
  const auto& exposure = timeline.rigs[0].steps[0].shapes[0].exposures[0];
  CHECK(exposure.shutter == exposure::Shutter{1, 1600});
  CHECK_FALSE(exposure.aperture);
}

TEST_CASE("a set in words names its ends, and its turn when it comes back") {
  const auto words = [](const std::string& bracket) {
    const auto timeline =
        tests::timeline_of("steps:\n  - {name: a, rig: long, at: MID, subject: corona 1" + bracket + "}\n");
    return set_text(timeline.rigs[0].steps[0].shapes[0]);
  };
  CHECK(words("") == "1/6 f/8 ISO 200");
  CHECK(words(", bracket: {from: 1/125, to: 1/8, by: 2 stops}") == "3 frames 1/125 to 1/8 f/8 ISO 200");
  CHECK(words(", bracket: {from: 1/125, to: 1/8, by: 2 stops, order: mirrored}") ==
        "5 frames 1/125 to 1/8 and back f/8 ISO 200");
}

}  // namespace noonfall::timeline
