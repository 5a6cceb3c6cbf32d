#include "lib/run/cue_speaker.h"

#include <doctest/doctest.h>

#include "tests/unit/run/fixture.h"

using namespace noonfall;
using namespace noonfall::run;
using shotlog::ClockGrade;
using shotlog::Mode;
using timeline::CueKind;

namespace {

// 28 letters: two seconds, and 200 ms for the sound output to wake up.
const std::string halfway = "Halfway through the eclipse.";
constexpr Duration starts = 97'800ms;

struct Heard {
  std::vector<Words> words;
  std::vector<shotlog::CueSpoken> lines;
  std::optional<Utc> wake;
  bool finished = false;
};

Heard heard(const timeline::Cue& cue, Duration now, Mode mode = Mode::event,
            ClockGrade grade = ClockGrade::a) {
  Scribe scribe;
  scribe.set_clock({grade, {}});
  CueSpeaker speaker{{cue}, mode};
  Output out;
  speaker.advance(at(now), empty_timeline().lanes, scribe, out);
  Heard heard{out.words, {}, out.wake, speaker.finished()};
  for (const auto& line : scribe.take_lines()) {
    heard.lines.push_back(std::get<shotlog::CueSpoken>(line.entry));
  }
  return heard;
}

/// What is said, when its time comes.
std::string words(CueKind kind, Mode mode, ClockGrade grade = ClockGrade::a) {
  const timeline::Cue cue{at(100s), "Camera filter.", kind, 0};
  const auto starting = heard(cue, 0s, mode, grade).wake.value();
  const auto said = heard(cue, starting - at(0s), mode, grade);
  REQUIRE(said.words.size() == 1);
  CHECK(said.lines == std::vector{shotlog::CueSpoken{said.words.front().text, at(100s), {}}});
  return said.words.front().text;
}

}  // namespace

TEST_CASE("speaking takes a second for fourteen letters, and a lead-in") {
  CHECK(speaking_time("") == 200ms);
  CHECK(speaking_time("fourteen chars") == 1200ms);
  CHECK(speaking_time(halfway) == 2200ms);
}

TEST_CASE("a cue is spoken so that it ends at its instant, to the microsecond") {
  const timeline::Cue cue{at(100s), halfway, CueKind::spoken, 0};
  const auto early = heard(cue, starts - 1us);
  CHECK(early.words.empty());
  CHECK(early.lines.empty());
  CHECK(early.wake == at(starts));
  CHECK_FALSE(early.finished);
  const auto now = heard(cue, starts);
  REQUIRE(now.words.size() == 1);
  CHECK(now.words.front().text == halfway);
  CHECK(now.words.front().ends == at(100s));
  CHECK(now.lines == std::vector{shotlog::CueSpoken{halfway, at(100s), {}}});
  CHECK_FALSE(now.wake.has_value());
  CHECK(now.finished);
}

TEST_CASE("a cue half a second late is still spoken, a microsecond later only logged") {
  const timeline::Cue cue{at(100s), halfway, CueKind::spoken, 0};
  CHECK(heard(cue, starts + 500ms).words.size() == 1);
  const auto late = heard(cue, starts + 500ms + 1us);
  CHECK(late.words.empty());
  CHECK(late.lines == std::vector{shotlog::CueSpoken{halfway, at(100s), "not spoken: its time had passed"}});
  CHECK(late.finished);
}

TEST_CASE("on the day the filter's words are the plan's") {
  CHECK(words(CueKind::filter_off, Mode::event) == "Camera filter.");
  CHECK(words(CueKind::filter_on, Mode::event) == "Camera filter.");
}

TEST_CASE("in rehearsals of both kinds the filter stays on, off and on cue alike") {
  const std::string keep = "Rehearsal, keep the camera filter on, long.";
  for (const auto mode : {Mode::dress, Mode::simulated}) {
    for (const auto grade : {ClockGrade::a, ClockGrade::f}) {
      CHECK(words(CueKind::filter_off, mode, grade) == keep);
      CHECK(words(CueKind::filter_on, mode, grade) == keep);
    }
  }
}

TEST_CASE("with a clock of grade F no filter-off cue is spoken, grade C is still good enough") {
  CHECK(words(CueKind::filter_off, Mode::event, ClockGrade::f) == "Clock not verified, operator decides.");
  CHECK(words(CueKind::filter_off, Mode::event, ClockGrade::c) == "Camera filter.");
}

TEST_CASE("a filter-on cue is spoken whatever the clock's grade") {
  CHECK(words(CueKind::filter_on, Mode::event, ClockGrade::f) == "Camera filter.");
}

TEST_CASE("hands-on and other words are the plan's in every mode and at every grade") {
  for (const auto mode : {Mode::event, Mode::dress, Mode::simulated}) {
    for (const auto kind : {CueKind::spoken, CueKind::hands_on, CueKind::hands_off}) {
      CHECK(words(kind, mode, ClockGrade::f) == "Camera filter.");
    }
  }
}
