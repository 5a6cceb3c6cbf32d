#include "daemon/status/screen.h"

#include <doctest/doctest.h>

#include "daemon/status/columns.h"
#include "daemon/status/large_digits.h"
#include "daemon/status/words.h"

using namespace noonfall;
using namespace noonfall::status;
using namespace std::chrono_literals;
using shotlog::ClockGrade;
using shotlog::FilterState;
using shotlog::Mode;

namespace {

constexpr Utc now{1'817'196'072s};  // 2027-08-02 08:41:12

RigStatus lane(const std::string& name) {
  RigStatus status;
  status.rig = name;
  status.body = BodyState::ready;
  status.filter = FilterState::on;
  status.next_step = "corona";
  status.next_due = now + 12s;
  status.planned = 210;
  status.frames.fired = 34;
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
  facts.totality = 4min + 52s;
  facts.next_contact = NamedInstant{contacts::ContactName::c2, now + 204s};
  facts.next = Call{now + 132s, "Hands needed at long in one minute"};
  facts.last = Call{now - 60s, "Hands needed at long in five minutes"};
  facts.rigs = {lane("long"), lane("wide")};
  return facts;
}

std::string text(const StatusFacts& given, const std::vector<std::string>& events = {},
                 const KeyWords& keys = {.line = "keys"}, TerminalSize size = {}) {
  std::string all;
  for (const auto& row : screen(given, events, keys, size)) {
    CHECK(columns(row.text) < size.columns);
    all += row.text + "\n";
  }
  return all;
}

}  // namespace

TEST_CASE("a run going well is read at a glance") {
  auto given = facts();
  given.rigs[0].exposure = exposure::Exposure{{1, 500}, exposure::FNumber{80}, {200}};
  given.rigs[0].trim = -1.0 / 3;
  given.rigs[0].late = 8'600us;
  given.rigs[0].levels = {82, 512};
  given.rigs[1].frames.skipped = 2;
  const std::vector<std::string> events{"08:40:12 UTC cue: Hands needed at long in five minutes",
                                        "08:41:02 UTC long: crescent begins"};
  CHECK(text(given, events) ==
        "08:41:12 UTC   10:41:12 Europe/Madrid                      Breakwater, two rigs\n"
        "SIMULATED: keep the camera filter on           clock A, within 3.2 ms (chronyd)\n"
        "██████      ██████  ██  ██\n"
        "    ██  ██      ██  ██  ██   to C2\n"
        "  ████      ██████  ██████   at 08:44:36 UTC\n"
        "    ██  ██  ██          ██\n"
        "██████      ██████      ██   totality lasts 4:52\n"
        "NEXT in 2 min 12 s: Hands needed at long in one minute\n"
        "LAST 08:40:12 Hands needed at long in five minutes\n"
        "no alarm\n"
        ">1 long         ready    filter ON, assumed    in 12 s: corona\n"
        "   1/500 f/8 ISO 200  trim -0.33  34/210 fired  9 ms late  bat 82 %  card 512\n"
        " 2 wide         ready    filter ON, assumed    in 12 s: corona\n"
        "   34/210 fired, 2 not\n"
        "08:40:12 UTC cue: Hands needed at long in five minutes\n"
        "08:41:02 UTC long: crescent begins\n"
        "\n\n\n\n\n\nkeys\n");
}

TEST_CASE("in totality the time to third contact is large, and how much of it is over") {
  auto given = facts();
  given.mode = Mode::event;
  given.now = now + 264s;
  given.in_totality = Totality{60s, 4min + 52s};
  given.next_contact = NamedInstant{contacts::ContactName::c3, now + 496s};
  given.rigs[1].filter = FilterState::off;
  given.rigs[1].filter_confirmed = true;
  given.rigs[1].step = "corona";
  given.rigs[1].back_to_back = true;
  const auto shown = text(given);
  CHECK(shown.find("FOR REAL") != std::string::npos);
  CHECK(shown.find("██████      ██████  ██████   \n") == std::string::npos);
  CHECK(shown.find("to C3\n") != std::string::npos);
  CHECK(shown.find("TOTALITY 1:00 of 4:52\n") != std::string::npos);
  CHECK(shown.find(" 2 wide         ready    filter OFF, confirmed corona, back to back\n") !=
        std::string::npos);
}

TEST_CASE("what needs a person stands out, and alarms stay before the lanes") {
  auto given = facts();
  given.mode = Mode::event;
  given.local_clock.clear();
  given.clock = {};
  given.clock_source.clear();
  given.next_contact.reset();
  given.next.reset();
  given.last.reset();
  given.rigs[0].body = BodyState::away;
  given.rigs[0].why = "the worker stopped answering; a new one is being started and the body reopened";
  given.rigs[0].filter = FilterState::unknown;
  given.rigs[1].body = BodyState::held;
  given.rigs[1].hands = "aim again";
  given.rigs[1].filter.reset();
  given.alarms = {{now - 70s, "the shot log can't be written: No space left on device"},
                  {now - 80s, "long: the cable is off"},
                  {now - 90s, "one"},
                  {now - 95s, "two"}};
  const auto rows = screen(given, {}, {.line = "hold long?", .asks = true}, {});
  std::vector<Row> expected{
      {"08:41:12 UTC                                               Breakwater, two rigs", Tone::ordinary},
      {"FOR REAL                                clock F: not verified, operator decides", Tone::urgent},
      {"Connect a GPS receiver or network time, or compare it with a good clock: clock…", Tone::urgent},
      {"no contact is left                                          totality lasts 4:52", Tone::strong},
      {"NEXT nothing is left to say or do", Tone::strong},
      {"LAST nothing was said yet", Tone::ordinary},
      {"ALARM 08:40:02 the shot log can't be written: No space left on device", Tone::urgent},
      {"ALARM 08:39:52 long: the cable is off", Tone::urgent},
      {"and 2 more alarms", Tone::urgent},
      {">1 long         AWAY     filter UNKNOWN        in 12 s: corona", Tone::urgent},
      {"   the worker stopped answering; a new one is being started and the body reope…", Tone::urgent},
      {" 2 wide         HELD     no filter             HANDS ON: aim again", Tone::strong},
      {"   34/210 fired", Tone::ordinary}};
  REQUIRE(rows.size() == 23);
  for (std::size_t n = 0; n < expected.size(); ++n) {
    CHECK(rows[n].text == expected[n].text);
    CHECK(rows[n].tone == expected[n].tone);
  }
  CHECK(rows.back() == Row{"hold long?", Tone::strong});
}

TEST_CASE("more rigs than have room for two rows have one, and more than eight are counted") {
  auto given = facts();
  for (int n = 3; n <= 5; ++n) given.rigs.push_back(lane("rig " + std::to_string(n)));
  given.rigs[4].body = BodyState::away;
  given.rigs[4].why = "no answer";
  auto shown = text(given);
  CHECK(shown.find(" 3 rig 3        ready    filter ON, assumed    34/210 fired\n"
                   " 4 rig 4        ready    filter ON, assumed    34/210 fired\n"
                   " 5 rig 5        AWAY     filter ON, assumed    no answer\n") != std::string::npos);
  for (int n = 6; n <= 12; ++n) given.rigs.push_back(lane("rig " + std::to_string(n)));
  shown = text(given);
  CHECK(shown.find(" 7 rig 7 ") != std::string::npos);
  CHECK(shown.find(" 8 rig 8 ") == std::string::npos);
  CHECK(shown.find("and 5 more rigs\n") != std::string::npos);
}

TEST_CASE("in a small window the large digits go first, and never the alarms or the keys") {
  auto given = facts();
  given.alarms = {{now, "the cable is off"}};
  const auto small = text(given, {"an event"}, {.line = "keys"}, {40, 13});
  CHECK(small ==
        "08:41:12 UTC   10:41:12 Europe/Madrid\n"
        "SIMULATED: keep the camera filter on\n"
        "clock A, within 3.2 ms\n"
        "C2 in 3 min 24 s, at 08:44:36 UTC\n"
        "NEXT in 2 min 12 s: Hands needed at lo…\n"
        "LAST 08:40:12 Hands needed at long in …\n"
        "ALARM 08:41:12 the cable is off\n"
        ">1 long         ready    filter ON, as…\n"
        "   34/210 fired\n"
        " 2 wide         ready    filter ON, as…\n"
        "   34/210 fired\n"
        "keys\n");
  CHECK(screen(given, {}, {.line = "keys"}, {80, 1}).size() == 2);
  CHECK(screen(given, {}, {.line = "keys"}, {1, 3}).back().text == "…");
}

TEST_CASE("of more events than have room the newest are shown, and help takes their place") {
  const auto given = facts();
  std::vector<std::string> events;
  for (int n = 0; n < 30; ++n) events.push_back("event " + std::to_string(n));
  CHECK(event_rows(given, {}) == 8);
  const auto shown = text(given, events);
  CHECK(shown.find("event 21\n") == std::string::npos);
  CHECK(shown.find("event 22\n") != std::string::npos);
  CHECK(shown.find("event 29\nkeys\n") != std::string::npos);
  const auto helping = text(given, events, {.line = "keys", .help = {"one", "two"}});
  CHECK(helping.find("event") == std::string::npos);
  CHECK(helping.find("one\ntwo\n") != std::string::npos);
}

TEST_CASE("what a plan or a body calls itself can't take over the terminal") {
  auto given = facts();
  given.title = "a\x1b[2Jb";
  given.rigs[0].rig = "lo\nng";
  given.last = Call{now, "\x1b]0;x\x07"};
  for (const auto& row : screen(given, {"\x1b[31m"}, {.line = "k"}, {})) {
    CHECK(row.text.find('\x1b') == std::string::npos);
    CHECK(row.text.find('\n') == std::string::npos);
    CHECK(row.text.find('\x07') == std::string::npos);
  }
}

TEST_CASE("words of spans, trims and clocks") {
  CHECK(countdown(0s) == "now");
  CHECK(countdown(11'100ms) == "in 12 s");
  CHECK(countdown(204s) == "in 3 min 24 s");
  CHECK(countdown(2h + 3min) == "in 2 h 03 min");
  CHECK(clock_span(2h + 3min + 4s) == "2:03:04");
  CHECK(clock_span(59'001ms) == "1:00");
  CHECK(clock_span(-5s) == "0:00");
  CHECK(late_words(12'400us) == "12 ms late");
  CHECK(late_words(-64ms) == "64 ms early");
  CHECK(trim_words(0) == "");
  CHECK(trim_words(4.0 / 3) == "+1.33");
  CHECK(trim_words(-1) == "-1");
  CHECK(mode_words(Mode::event, 1) == "FOR REAL");
  CHECK(mode_words(Mode::dress, 1) == "DRESS REHEARSAL: keep the camera filter on");
  CHECK(mode_words(Mode::simulated, 40) == "SIMULATED: keep the camera filter on, 40 times as fast");
  CHECK(clock_remedy(ClockGrade::a).empty());
  for (const auto grade : {ClockGrade::b, ClockGrade::c, ClockGrade::f})
    CHECK(clock_remedy(grade).size() > 20);
}
