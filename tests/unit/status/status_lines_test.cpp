#include "daemon/status/status_lines.h"

#include <doctest/doctest.h>

#include "daemon/status/columns.h"

using namespace noonfall;
using namespace noonfall::status;
using namespace std::chrono_literals;
using shotlog::ClockGrade;
using shotlog::FilterState;
using shotlog::Mode;

namespace {

constexpr Utc now{1'817'196'072s};  // 2027-08-02 08:41:12

RigStatus rig(const std::string& name) {
  RigStatus status;
  status.rig = name;
  status.body = BodyState::ready;
  status.filter = FilterState::on;
  status.next_step = "corona";
  status.next_due = now + 12s;
  status.planned = 210;
  status.frames.fired = 34;
  status.frames.skipped = 2;
  return status;
}

StatusFacts facts() {
  StatusFacts facts;
  facts.now = now;
  facts.local_clock = "10:41:12";
  facts.zone = "Europe/Madrid";
  facts.title = "Breakwater, two rigs";
  facts.mode = Mode::simulated;
  facts.clock = {ClockGrade::a, 3'200us};
  facts.clock_source = "chronyd";
  facts.next_contact = NextContact{contacts::ContactName::c2, now + 204s};
  facts.rigs = {rig("long"), rig("wide")};
  return facts;
}

std::string text(const StatusFacts& given) {
  std::string all;
  for (const auto& line : lines(given)) {
    CHECK(columns(line) <= status_width);
    all += line + "\n";
  }
  return all;
}

}  // namespace

TEST_CASE("a run going well is told in a few lines") {
  auto given = facts();
  given.rigs[1].filter = FilterState::off;
  given.rigs[1].filter_confirmed = true;
  given.rigs[1].step = "corona";
  given.rigs[1].back_to_back = true;
  CHECK(text(given) ==
        "08:41:12 UTC   10:41:12 Europe/Madrid             C2 in 3 min 24 s, 08:44:36 UTC\n"
        "SIMULATED: keep the camera filter on                        Breakwater, two rigs\n"
        "clock A, within 3.2 ms  (chronyd)\n"
        "long         ready     filter ON, assumed     in 12 s: corona\n"
        "             34 of 210 fired, 0 failed, 2 skipped, 0 unknown\n"
        "wide         ready     filter OFF, confirmed  corona, back to back\n"
        "             34 of 210 fired, 0 failed, 2 skipped, 0 unknown\n"
        "no alarm\n");
}

TEST_CASE("what needs a person stands out in capitals") {
  auto given = facts();
  given.mode = Mode::event;
  given.local_clock.clear();
  given.clock = {};
  given.clock_source.clear();
  given.next_contact.reset();
  given.rigs[0].body = BodyState::away;
  given.rigs[0].why = "the worker stopped answering; a new one is being started and the body reopened";
  given.rigs[0].filter = FilterState::unknown;
  given.rigs[1].body = BodyState::held;
  given.rigs[1].hands = "aim again";
  given.rigs[1].filter.reset();
  given.rigs.push_back(rig("by the tripod"));
  given.rigs[2].body = BodyState::by_hand;
  given.rigs[2].next_due.reset();
  given.rigs.push_back(rig("fourth"));
  given.rigs[3].body = BodyState::starting;
  given.alarm = Alarm{now - 70s, "the shot log can't be written: No space left on device"};
  CHECK(text(given) ==
        "08:41:12 UTC                                                  no contact is left\n"
        "FOR REAL                                                    Breakwater, two rigs\n"
        "clock F: not verified, operator decides\n"
        "long         AWAY      filter UNKNOWN         34/210 fired, 2 not, 0 unknown\n"
        "             the worker stopped answering; a new one is being started and the b…\n"
        "wide         HELD      no filter              HANDS ON: aim again\n"
        "             34 of 210 fired, 0 failed, 2 skipped, 0 unknown\n"
        "by the trip… by hand   filter ON, assumed     no frame is left\n"
        "             34 of 210 fired, 0 failed, 2 skipped, 0 unknown\n"
        "fourth       starting  filter ON, assumed     in 12 s: corona\n"
        "             34 of 210 fired, 0 failed, 2 skipped, 0 unknown\n"
        "ALARM 08:40:02 UTC the shot log can't be written: No space left on device\n");
}

TEST_CASE("of more than four rigs each has a line, and more than eight are counted") {
  auto given = facts();
  for (int n = 3; n <= 5; ++n) given.rigs.push_back(rig("rig " + std::to_string(n)));
  given.rigs[4].body = BodyState::away;
  given.rigs[4].why = "no answer";
  CHECK(text(given) ==
        "08:41:12 UTC   10:41:12 Europe/Madrid             C2 in 3 min 24 s, 08:44:36 UTC\n"
        "SIMULATED: keep the camera filter on                        Breakwater, two rigs\n"
        "clock A, within 3.2 ms  (chronyd)\n"
        "long         ready     filter ON, assumed     34/210 fired, 2 not, 0 unknown\n"
        "wide         ready     filter ON, assumed     34/210 fired, 2 not, 0 unknown\n"
        "rig 3        ready     filter ON, assumed     34/210 fired, 2 not, 0 unknown\n"
        "rig 4        ready     filter ON, assumed     34/210 fired, 2 not, 0 unknown\n"
        "rig 5        AWAY      filter ON, assumed     no answer\n"
        "no alarm\n");
  for (int n = 6; n <= 12; ++n) given.rigs.push_back(rig("rig " + std::to_string(n)));
  const auto shown = lines(given);
  CHECK(shown.size() == 12);
  CHECK(shown[10] == "and 5 more rigs");
}

TEST_CASE("a clock shows the second that has begun, and a held rig why it takes no frame") {
  auto given = facts();
  given.now += 999ms;
  given.local_clock = "10:41:12.9";
  given.rigs[0].body = BodyState::held;
  const auto shown = lines(given);
  CHECK(shown[0] == "08:41:12 UTC   10:41:12 Europe/Madrid             C2 in 3 min 24 s, 08:44:36 UTC");
  CHECK(shown[3] == "long         HELD      filter ON, assumed     no frame until it is resumed");
}

TEST_CASE("every rehearsal says to keep the camera filter on, and how fast it runs") {
  CHECK(mode_words(Mode::event, 1) == "FOR REAL");
  CHECK(mode_words(Mode::dress, 1) == "DRESS REHEARSAL: keep the camera filter on");
  CHECK(mode_words(Mode::simulated, 60) == "SIMULATED: keep the camera filter on, 60 times as fast");
}

TEST_CASE("a countdown is rounded up, so that it ends at its instant") {
  CHECK(countdown(-1s) == "now");
  CHECK(countdown(0s) == "now");
  CHECK(countdown(1us) == "in 1 s");
  CHECK(countdown(59s) == "in 59 s");
  CHECK(countdown(59s + 1us) == "in 1 min 00 s");
  CHECK(countdown(3599s) == "in 59 min 59 s");
  CHECK(countdown(3600s) == "in 1 h 00 min");
  CHECK(countdown(26h + 59min + 59s) == "in 26 h 59 min");
}

TEST_CASE("names and titles of any length, width and content stay within their columns") {
  auto given = facts();
  given.title = "日食 2035, 平野と海の間, 二台のカメラで撮影する計画, 長い題名";
  given.rigs[0].rig = "望遠望遠望遠望遠";
  given.rigs[1].rig =
      "\x1b[2J\xc2\x9b"
      "31m\xff\u202e\u200b";
  given.rigs[1].next_step = std::string(500, 'x');
  const auto shown = text(given);
  CHECK(shown.find('\x1b') == std::string::npos);
  for (const auto* hidden : {"\xc2\x9b", "\xff", "\u202e", "\u200b"})
    CHECK(shown.find(hidden) == std::string::npos);
}

TEST_CASE("columns are counted and cut as a terminal shows them") {
  // Widths by Unicode Standard Annex 11, East Asian Width.
  CHECK(columns("abc") == 3);
  CHECK(columns("é…") == 2);
  CHECK(columns("日食") == 4);
  CHECK(columns("한글") == 4);
  CHECK(fitted("日食です", 5) == "日食…");
  CHECK(fitted("日食です", 6) == "日食…");
  CHECK(fitted("abc", 0) == "");
  CHECK(padded("日", 4) == "日  ");
  CHECK(spread("left", "right", 12) == "left   right");
  CHECK(spread("a long left", "right", 12) == "a lo…  right");
  CHECK(spread("left", "too long a right", 8) == "too lon…");
}
