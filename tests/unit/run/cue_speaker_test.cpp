#include "lib/run/cue_speaker.h"

#include <doctest/doctest.h>

#include "tests/unit/run/fixture.h"

using namespace noonfall;
using namespace noonfall::run;
using timeline::CueKind;

namespace {

// 28 letters: two seconds, and 200 ms for the sound output to wake up.
const std::string halfway = "Halfway through the eclipse.";
constexpr Duration starts = 97'800ms;

struct Heard {
  std::vector<Announcement> words;
  std::vector<shotlog::CueLine> lines;
  std::optional<Utc> wake;
  bool finished = false;
};

Heard heard(const timeline::Cue& cue, Duration now, VoiceState voice = {.there = true}) {
  LogWriter log;
  CueSpeaker speaker{{cue}};
  Output out;
  speaker.advance(at(now), voice, log, out);
  Heard heard{out.announcements, {}, out.wake, speaker.finished()};
  for (const auto& line : log.take_lines()) {
    heard.lines.push_back(std::get<shotlog::CueLine>(line.entry));
  }
  return heard;
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
  CHECK(now.lines == std::vector{shotlog::CueLine{halfway, at(100s), {}}});
  CHECK_FALSE(now.wake.has_value());
  CHECK(now.finished);
}

TEST_CASE("where there is no voice a cue is given at the same time, and logged as printed only") {
  const timeline::Cue cue{at(100s), halfway, CueKind::spoken, 0};
  CHECK(heard(cue, starts - 1us, {}).lines.empty());
  CHECK(heard(cue, starts, {}).lines ==
        std::vector{shotlog::CueLine{.words = halfway, .ends = at(100s), .printed = true}});
}

TEST_CASE("a cue half a second late is still spoken, a microsecond later only logged") {
  const timeline::Cue cue{at(100s), halfway, CueKind::spoken, 0};
  CHECK(heard(cue, starts + 500ms).words.size() == 1);
  const auto late = heard(cue, starts + 500ms + 1us);
  CHECK(late.words.empty());
  CHECK(late.lines == std::vector{shotlog::CueLine{halfway, at(100s), "not spoken: its time had passed"}});
  CHECK(late.finished);
}

TEST_CASE("a cue waits while a camera filter is called back on, and is left out when that takes too long") {
  const timeline::Cue cue{at(100s), halfway, CueKind::spoken, 0};
  const auto waits = heard(cue, starts, {true, at(starts + 400ms)});
  CHECK(waits.words.empty());
  CHECK(waits.lines.empty());
  CHECK(waits.wake == at(starts + 400ms));
  CHECK(heard(cue, starts + 400ms, {true, at(starts + 400ms)}).words.size() == 1);
  CHECK(heard(cue, starts + 501ms, {true, at(starts + 501ms)}).words.empty());
}

TEST_CASE("the words on camera filters are left to the filters") {
  for (const auto kind : {CueKind::filter_off, CueKind::filter_on}) {
    const auto now = heard({at(100s), "Camera filter.", kind, 0}, 100s);
    CHECK(now.words.empty());
    CHECK(now.lines.empty());
    CHECK(now.finished);
  }
}
