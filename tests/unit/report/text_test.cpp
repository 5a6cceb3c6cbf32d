#include <doctest/doctest.h>

#include "lib/report/report.h"
#include "tests/unit/report/hand_made_log.h"

using namespace noonfall;
using namespace noonfall::report;
using order::Outcome;

namespace {

Summary cut_off() {
  auto log =
      log_of({fired(pair(1, 1), 5s, 12ms), fired(pair(1, 2), 6s, 20ms, "wrong exposure: locked"),
              shotlog::Skip{pair(2, 1), at(9s), shotlog::SkipReason::other, "too late: 0.4 s"},
              not_fired(pair(2, 2), Outcome::failed, "no focus"), fired(bead(1), -24s), intent(bead(2), 24s),
              shotlog::BodyNews{"long", false, "off the line"}, shotlog::BodyNews{"long", true, ""},
              shotlog::CommandLine{shotlog::Hold{"wide"}, "there is no such rig"}});
  log.lines.back().utc = at(25s);
  log.torn_tail = true;
  log.damage = {error_at({2, 1}, "damaged-line", "")};
  return *summarise(log);
}

}  // namespace

TEST_CASE("a summary in full, in UTC") {
  CHECK(to_text(cut_off(), {}) == R"(Bench: total eclipse of 2027-08-02, a rehearsal on simulated bodies
  C2  10:00:00.0 UTC  ± 3.0 s
  C3  10:00:40.0 UTC  ± 3.2 s
  C2 and C3 are of the mean limb, a Moon without mountains.

3 frames shot, 14 planned, 1 skipped, 1 failed, 1 without an answer in the log.
The log ends before the plan does: the run was cut off or is still going. What comes after isn't judged.
The last line was torn, as after a power cut; everything before it is sound.
1 line of the log is damaged and was left out.

UTC       rig   step          planned   shot missed     sets  late, half / all within
10:00:05  long  pairs               6      2      2      1/3  20 / 20 ms
10:00:30  long  beads, "out"        8      1      1      0/4

Not as planned:
  long, pairs: 1 x no focus (plan line 12)
  long, pairs: 1 x too late (plan line 12)
  long, pairs: 1 x wrong exposure (plan line 12)

Filter window of long: 09:59:30.0 UTC to 10:01:10.0 UTC.
  2 unfiltered frames inside it and 1 OUTSIDE: check the lens and the sensor.
  Not known of 1 more: whether they were taken, and when their shutters closed.

Longest stretches of totality without an open shutter:
  long: 17.0 s from 10:00:08.0 UTC
  long: 5.0 s from 10:00:00.0 UTC

long: 12 % of the first 25.0 of the 40.0 s of totality in use, 2 frames.

On the cards, to be copied before they are formatted:
  long: 3 frames, whose files the body didn't name; 1 more may be there.
    Darks, with the cap on, would suit at 2 s ISO 400.
    Flats, with the focus as it was, at f/8 ISO 400.

What else happened:
  09:59:08.0 UTC  long: off the line
  09:59:09.0 UTC  long: the body is back
  10:00:25.0 UTC  operator: hold wide (there is no such rig)
)");
}

TEST_CASE("a rehearsal that went well is short, with local times where the place has a zone") {
  auto log = log_of({fired(pair(1, 1), 5s), shotlog::Ended{}});
  auto& header = std::get<shotlog::Header>(log.lines.front().entry);
  header.mode = shotlog::Mode::event;
  header.contacts.clear();
  header.limb = "profile";
  header.rigs[0].window.reset();
  header.rigs[0].steps.pop_back();
  const LocalClock two_hours_on = [](Utc) { return std::string{"12:00:05.0"}; };
  CHECK(to_text(*summarise(log), two_hours_on) == R"(Bench: total eclipse of 2027-08-02, the event
  C2 and C3 follow the mountains of the Moon's edge.

1 frames shot, 6 planned.

local     rig   step   planned   shot missed     sets  late, half / all within
12:00:05  long  pairs        6      1      0      1/3  0 / 0 ms

On the cards, to be copied before they are formatted:
  long: 1 frames, whose files the body didn't name.
    Darks, with the cap on, would suit at 2 s ISO 400.
    Flats, with the focus as it was, at f/8 ISO 400.
)");
}

TEST_CASE("a window of before an amendment is said to be one, and what was never asked for is missed") {
  auto moved = header();
  moved.rigs[0].window->opens = at(-31s);
  const auto text = to_text(*summarise(log_of({fired(pair(1, 1), 5s), shotlog::Amendment{moved, "a new site"},
                                               fired(bead(1), 30s), shotlog::Ended{}})),
                            {});
  CHECK(text.find("Filter window of long before the plan was amended: 09:59:30.0 UTC to 10:01:10.0 UTC.") !=
        std::string::npos);
  CHECK(text.find("Filter window of long: 09:59:29.0 UTC to 10:01:10.0 UTC.") != std::string::npos);
  CHECK(text.find("2 frames shot, 14 planned, 7 never asked for.") != std::string::npos);
  CHECK(text.find("long, beads, \"out\": 7 x its time ran out (plan line 20)") != std::string::npos);
  CHECK(text.find("beads, \"out\"        8      1      7") != std::string::npos);
}

TEST_CASE("a summary in full as CSV, names quoted as RFC 4180 says") {
  CHECK(to_csv(cut_off()) ==
        "rig,step,plan_line,subject,filter,from_utc,until_utc,planned_sets,planned_frames,whole_sets,fired,"
        "failed,"
        "unknown,skipped,cancelled,open,median_late_ms,most_late_ms,reasons,never_asked\n"
        "\"long\",\"pairs\",12,\"corona 0.1 to "
        "4\",off,2027-08-02T10:00:05.000Z,2027-08-02T10:00:20.000Z,3,6,1,2,1,0,"
        "1,0,0,20.0,20.0,\"1 x no focus; 1 x too late; 1 x wrong exposure\",0\n"
        "\"long\",\"beads, "
        "\"\"out\"\"\",20,\"beads\",off,2027-08-02T10:00:30.000Z,2027-08-02T10:00:40.000Z,4,8,0,1,0,"
        "0,0,0,1,0.0,0.0,\"\",0\n");
}
