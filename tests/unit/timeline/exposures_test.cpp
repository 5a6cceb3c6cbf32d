// What frames are taken with. Brightness is checked against NASA RP 1369, Table 16 (1997), through
// lib/exposure.
#include <cmath>

#include <doctest/doctest.h>

#include "lib/exposure/scale.h"
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
}

TEST_CASE("a range of coronal heights without a bracket gets its ladder") {
  // from Q 7, 64 / (200 * 2^7) = 1/400, to Q 1, 1/6, by 2 stops
  CHECK(exposures_of("subject: corona 0.1 to 1") == "1/400 1/100 1/25 1/6 @ ISO 200; ");
  const auto timeline = tests::timeline_of(
      "steps:\n  - {name: a, rig: long, subject: corona 0.05 to 4, from: C2 + 20 s, until: MID, every: back "
      "to "
      "back}\n");
  const auto& rig = timeline.rigs[0];
  CHECK(rig.steps[0].shapes[0].exposures.size() > 3);
  REQUIRE(rig.corona);
  REQUIRE(rig.corona->planned.size() == 7);
  CHECK(ladder::worst(rig.corona->planned) >= ladder::worst(rig.corona->equal_steps));
}

TEST_CASE("the step's exposure wins over the rig's, and a set's over the step's") {
  CHECK(exposures_of(
            "subject: corona 1, exposure: {shutter: 1/30, iso: 400}, sets: [{shutter: 1/8}, {iso: 800}]") ==
        "1/8 @ ISO 400; 1/30 @ ISO 800; ");
}

TEST_CASE("limits leave the choice to the subject: the lowest ISO within them") {
  // ideal at ISO 125: 64 / (125 * 2^9) = 1/1000, the longest the limits allow
  CHECK(exposures_of("subject: prominences, exposure: {shutter: 1/8000 to 1/1000, iso: 100 to 800}") ==
        "1/1000 @ ISO 125; ");
}

TEST_CASE("limits of the filtered Sun keep the shutter at 1/500 or shorter, a bracket's longest frame too") {
  // Q 8 at density 5: 64 / (125 * 2^8) = 1/500 (1/500 against shimmer: common practice, no source)
  CHECK(exposures_of("subject: photosphere, exposure: {iso: 100 to 1600}") == "1/500 @ ISO 125; ");
  CHECK(
      exposures_of("subject: photosphere, exposure: {iso: 100 to 1600}, bracket: {frames: 3, by: 1 stop}") ==
      "1/2000 1/1000 1/500 @ ISO 250; ");
}

TEST_CASE("no rung of a bracket leaves the limits of the shutter") {
  // ideal at ISO 200: 1/1600; two stops wide between 1/4000 and 1/1000 the centre is 1/2000 at ISO 250
  CHECK(exposures_of("subject: prominences, exposure: {shutter: 1/4000 to 1/1000, iso: 100 to 800}, bracket: "
                     "{frames: 3, by: 1 stop}") == "1/4000 1/2000 1/1000 @ ISO 250; ");
}

TEST_CASE("a low Sun is exposed longer, unless the sky is switched off") {
  auto low = tests::sky();
  for (auto& contact : low.contacts) contact->altitude = contact->apparent_altitude = Degrees{10};
  const auto shutter = [&](const std::string& sky_key) {
    return exposure::to_text(
        tests::timeline_of("steps:\n  - {name: a, rig: long, at: MID, subject: prominences}\n" + sky_key, low)
            .rigs[0]
            .steps[0]
            .shapes[0]
            .exposures[0]
            .shutter);
  };
  // Kasten & Young: 5.5 air masses where refraction lifts 10 degrees to 10.1, 1.15 at 60: 0.2 * 4.4 = 0.87
  // magnitudes, 1.16 stops, in thirds 1
  CHECK(shutter("") == "1/800");
  CHECK(shutter("sky: none\n") == "1/1600");
  // 0.4 * 4.4 = 1.75 magnitudes, 2.33 stops
  CHECK(shutter("sky: {extinction: 0.4}\n") == "1/320");
}

TEST_CASE("the thinning crescent is exposed longer from set to set") {
  const auto timeline = tests::timeline_of(
      "steps:\n  - {name: a, rig: long, subject: photosphere, from: C1, until: C2 - 40 s, every: 2 min}\n");
  const auto& step = timeline.rigs[0].steps[0];
  const auto shutter = [&](const Target& target) {
    return exposure::exact_seconds(step.shapes[target.shape].exposures[0].shutter);
  };
  for (std::size_t n = 1; n < step.targets.size(); ++n)
    CHECK(shutter(step.targets[n]) >= shutter(step.targets[n - 1]));
  // NASA RP 1369: up to two more stops
  const double more = std::log2(shutter(step.targets.back()) / shutter(step.targets.front()));
  CHECK(more > 0.6);
  CHECK(more <= 2);
}

TEST_CASE("a landscape without a shutter ramps through totality and back") {
  const auto timeline = tests::timeline_of(
      "steps:\n  - {name: a, rig: wide, subject: landscape, from: C2 - 5 min, until: C3 + 5 min, every: 20 "
      "s, "
      "exposure: {iso: 100 to 1600, shutter: 1/8000 to 1 s}}\n");
  const auto& step = timeline.rigs[1].steps[0];
  const auto light = [&](const Target& target) {
    return -exposure::exposure_value(step.shapes[target.shape].exposures[0]).value +
           std::log2(step.shapes[target.shape].exposures[0].iso.value);
  };
  double darkest = light(step.targets.front());
  for (std::size_t n = 1; n < step.targets.size(); ++n) {
    CHECK(std::abs(light(step.targets[n]) - light(step.targets[n - 1])) < 4.5);
    darkest = std::max(darkest, light(step.targets[n]));
  }
  CHECK(darkest - light(step.targets.front()) > 8);
  CHECK(darkest - light(step.targets.back()) > 8);
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
