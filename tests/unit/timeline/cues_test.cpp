// What is said, and when it ends. How fast people speak is common practice, no source.
#include "lib/timeline/cues.h"
#include "lib/plan/spoken_words.h"
#include "lib/timeline/sentences.h"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "lib/time/utc_text.h"
#include "tests/unit/timeline/scene.h"

namespace noonfall::timeline {
namespace {

using namespace std::chrono_literals;

std::string said(const Timeline& timeline) {
  std::string all;
  for (const auto& cue : timeline.cues) all += fmt::format("{} {}\n", to_clock_text(cue.ends, 0), cue.words);
  return all;
}

}  // namespace

TEST_CASE("the cues of a filter come by themselves and never call anything safe") {
  CHECK(said(tests::timeline_of("steps:\n  - {name: a, rig: long, subject: prominences, at: MID}\n")) ==
        "08:59:15 Stand by, camera filter of long.\n"
        "08:59:30 Camera filter off, long.\n"
        "09:03:43 Sunlight is about to return. Protect your eyes.\n"
        "09:04:22 Camera filter back on, long.\n");
}

TEST_CASE("filter cues can be reworded, their instants can't") {
  const auto timeline = tests::timeline_of(R"(rigs:
  long: {body: {simulate: mirrorless-20}, lens: {focal_length: 600 mm}, mount: tracking, exposure: {aperture: f/8, iso: 200}, filter: {density: 5.0, say_off: Off with the camera filter, say_on: Camera filter on again}}
steps:
  - {name: a, rig: long, subject: prominences, at: MID}
)");
  CHECK(said(timeline) ==
        "08:59:15 Stand by, camera filter of long.\n"
        "08:59:30 Off with the camera filter\n"
        "09:03:43 Sunlight is about to return. Protect your eyes.\n"
        "09:04:22 Camera filter on again\n");
  CHECK(timeline.cues[1].kind == CueKind::filter_off);
  CHECK(timeline.cues[3].kind == CueKind::filter_on);
}

TEST_CASE("hands are asked for at the span's start and sent off ten seconds before its end, or halfway") {
  CHECK(said(tests::timeline_of("steps:\n  - {name: aim, hands: long, from: C1 + 1 min, until: C1 + 2 min}\n"
                                "  - {name: a, rig: long, subject: photosphere, at: C1}\n")) ==
        "08:01:00 Hands needed at long: aim.\n08:01:50 Hands off long.\n");
  CHECK(said(tests::timeline_of("steps:\n  - {name: aim, hands: long, from: C1 + 1 min, until: C1 + 70 s}\n"
                                "  - {name: a, rig: long, subject: photosphere, at: C1}\n")) ==
        "08:01:00 Hands needed at long: aim.\n08:01:05 Hands off long.\n");
}

TEST_CASE("names that would turn a sentence into another aren't quoted in it") {
  constexpr const char* rig =
      "{body: {simulate: mirrorless-20}, lens: {focal_length: 600 mm}, mount: tracking, exposure: {aperture: "
      "f/8, "
      "iso: 200}, filter: {density: 5.0}}";
  CHECK(said(tests::timeline_of(
            fmt::format("rigs:\n  camera filter: {}\nsteps:\n"
                        "  - {{name: away, hands: camera filter, from: C1 + 1 min, until: C1 + 2 min}}\n"
                        "  - {{name: a, rig: camera filter, subject: photosphere, at: C1}}\n",
                        rig))) == "08:01:00 Hands needed at rig 1.\n08:01:50 Hands off rig 1.\n");
  // heard as "off"
  CHECK(said(tests::timeline_of(fmt::format(
            "rigs:\n  F: {}\nsteps:\n  - {{name: a, rig: F, subject: prominences, at: MID}}\n", rig))) ==
        "08:59:15 Stand by, camera filter of rig 1.\n"
        "08:59:30 Camera filter off, F.\n"
        "09:03:43 Sunlight is about to return. Protect your eyes.\n"
        "09:04:22 Camera filter back on, F.\n");
}

TEST_CASE("hands wanted at several rigs at once are asked for in one sentence") {
  CHECK(said(tests::timeline_of(
            "steps:\n  - {name: aim, hands: [long, wide], from: C1 + 1 min, until: C1 + 2 min}\n"
            "  - {name: a, rig: long, subject: photosphere, at: C1}\n")) ==
        "08:01:00 Hands needed at long and wide: aim.\n08:01:50 Hands off long and wide.\n");
}

TEST_CASE("a camera without a cable gets its exposure in words at each step") {
  const auto timeline = tests::timeline_of(R"(rigs:
  hand: {body: by hand, lens: {focal_length: 200 mm}, mount: tracking, exposure: {aperture: f/8, iso: 200}, filter: {density: 5.0}}
steps:
  - {name: a, rig: hand, subject: prominences, at: MID}
  - {name: b, rig: hand, subject: corona 1, at: MID + 30 s, bracket: {frames: 3, by: 1 stop}}
)");
  CHECK(said(timeline) ==
        "08:59:15 Stand by, camera filter of hand.\n"
        "08:59:30 Camera filter off, hand.\n"
        "09:02:00 hand by hand: prominences, 1/1600.\n"
        "09:02:30 hand by hand: corona 1, 3 frames, 1/13 to 0.3 s.\n"
        "09:03:43 Sunlight is about to return. Protect your eyes.\n"
        "09:04:22 Camera filter back on, hand.\n");
}

TEST_CASE(
    "who is at work in totality is told before C3 that sunlight returns, in a short one at its middle") {
  const auto all =
      said(tests::timeline_of("steps:\n  - {name: a, rig: long, subject: prominences, at: MID}\n"));
  CHECK(all.find("09:03:43 Sunlight is about to return. Protect your eyes.") != std::string::npos);
  auto short_one = tests::sky();
  auto& c3 = short_one.contacts[static_cast<std::size_t>(contacts::ContactName::c3)];
  c3->uncertainty = 200s;
  const auto made = tests::built(
      "steps:\n  - {name: a, rig: wide, subject: landscape, exposure: {shutter: 1 s}, at: MID}\n", short_one);
  REQUIRE(made.timeline);
  REQUIRE(made.timeline->cues.size() == 1);
  CHECK(made.timeline->cues.front().kind == CueKind::eyes);
  CHECK(made.timeline->cues.front().ends == short_one.at(contacts::ContactName::mid)->utc);
}

TEST_CASE("a countdown asked for gives way to what else is said") {
  CHECK(said(tests::timeline_of("voice: {language: de, countdown: true}\n"
                                "steps:\n  - {name: a, rig: long, subject: prominences, at: MID}\n")) ==
        "08:59:00 Zweiter Kontakt in einer Minute.\n"
        "08:59:15 Achtung, Kamerafilter von long.\n"
        "08:59:30 Kamerafilter abnehmen, long.\n"
        "08:59:50 Zweiter Kontakt in zehn Sekunden.\n"
        "09:03:00 Dritter Kontakt in einer Minute.\n"
        "09:03:30 Dritter Kontakt in dreißig Sekunden.\n"
        "09:03:43 Gleich kehrt das Sonnenlicht zurück. Augen schützen.\n"
        "09:03:50 Dritter Kontakt in zehn Sekunden.\n"
        "09:04:22 Kamerafilter wieder aufsetzen, long.\n");
}

TEST_CASE("no sentence of ours breaks the rules for cues, in any language") {
  using plan::Language;
  for (const auto language : {Language::english, Language::spanish, Language::french, Language::german}) {
    for (auto what = 0; what <= static_cast<int>(Sentence::third_contact_in); ++what) {
      const auto words = sentence(language, static_cast<Sentence>(what), "long", "again", "1 s");
      CAPTURE(words);
      const bool off = static_cast<Sentence>(what) == Sentence::filter_off;
      CHECK((off ? plan::why_not_a_filter_off_cue(words) : plan::why_not_a_cue(words)).empty());
      CHECK(plan::why_not_a_cue(words).empty() == !off);
    }
    CHECK(plan::why_not_a_filter_on_cue(sentence(language, Sentence::filter_back_on, "long")).empty());
  }
}

TEST_CASE("a cue of the plan whose contact doesn't happen is left out with the reason") {
  const auto made = tests::built(
      "steps:\n  - {name: a, rig: long, subject: photosphere, at: MID}\ncues:\n"
      "  - {at: C2, say: Look up}\n",
      tests::sky(contacts::Kind::partial));
  REQUIRE(made.timeline);
  CHECK(made.timeline->cues.empty());
  REQUIRE(made.timeline->skipped.size() == 1);
  CHECK(made.timeline->skipped[0].step == "cue \"Look up\"");
  CHECK(made.timeline->skipped[0].why == "there is no C2: the eclipse is partial at the site");
}

TEST_CASE("words take a breath and a second for every fourteen characters") {
  CHECK(speech_time("") == 300ms);
  CHECK(speech_time("fourteen chars") == 1300ms);
}

}  // namespace noonfall::timeline
