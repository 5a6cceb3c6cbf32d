#include "daemon/status/event_lines.h"

#include <doctest/doctest.h>

#include "tests/unit/shotlog/lines.h"

using namespace noonfall;
using namespace noonfall::status;
using shotlog::at;

namespace {

class Bench {
 public:
  std::string take(shotlog::Entry entry) {
    const shotlog::ClockState clock{shotlog::ClockGrade::b, Duration{40'000}};
    const auto event = events_.take({1, at(0), clock, std::move(entry)});
    return event && event->new_kind ? to_text(*event) : "";
  }

 private:
  EventLines events_;
};

shotlog::FrameOutcome outcome(std::int32_t frame, order::Outcome result, std::string why = {}) {
  return {{"long", "corona", 3, frame}, result, at(0), {}, shotlog::sample_exposure(), {}, std::move(why)};
}

}  // namespace

TEST_CASE("each kind of line that a person should see has its words") {
  std::string all;
  EventLines events;
  for (const auto& line : shotlog::one_of_each()) {
    const auto event = events.take(line);
    all += (event && event->new_kind ? to_text(*event) : "-") + "\n";
  }
  CHECK(all ==
        "09:46:40 UTC Headland, \"two\" rigs — é: SIMULATED: keep the camera filter on\n"
        "09:46:40 UTC long: corona begins\n"
        "-\n"
        "09:46:40 UTC long: corona 3.3 failed: the card is full\n"
        "09:46:40 UTC long: corona 3.4 skipped: too late: 0.2 s\n"
        "-\n"
        "09:46:40 UTC says: Camera filter off, long.\n"
        "09:46:40 UTC ALARM cue: Camera filter back on, long.\n"
        "09:46:40 UTC long: camera filter OFF, confirmed\n"
        "09:46:40 UTC ALARM long: AWAY: the body is off the line\n"
        "09:46:40 UTC clock A, within 3 ms: chrony: leap status changed\n"
        "09:46:40 UTC command: hold long\n"
        "09:46:40 UTC clock A, within 3 ms: started\n"
        "09:46:40 UTC clock F: not verified, operator decides: the system clock was set\n"
        "09:46:40 UTC amended: a step changed\n"
        "09:46:40 UTC long: black: the cap is on\n"
        "09:46:40 UTC long: 0.7 stop dark since 10:40 UTC\n"
        "09:46:40 UTC the plan is done\n");
}

TEST_CASE("a step begins once, and of its failures the first of a kind is told") {
  Bench bench;
  const shotlog::Intent intent{{"long", "corona", 3, 1}, 7, at(0), at(0), shotlog::sample_exposure()};
  CHECK(bench.take(intent) == "09:46:40 UTC long: corona begins");
  CHECK(bench.take(intent) == "");
  CHECK(bench.take(outcome(1, order::Outcome::fired)) == "");
  CHECK(bench.take(outcome(2, order::Outcome::failed, "the card is full")) ==
        "09:46:40 UTC long: corona 3.2 failed: the card is full");
  CHECK(bench.take(outcome(3, order::Outcome::failed, "the card is full")) == "");
  CHECK(bench.take(outcome(4, order::Outcome::unknown)) == "09:46:40 UTC long: corona 3.4 unknown");
  CHECK(bench.take(shotlog::Skip{{"long", "corona", 3, 5}, at(0), shotlog::SkipReason::step_over}) == "");
}

TEST_CASE("what a body calls itself can't take over the terminal") {
  Bench bench;
  CHECK(bench.take(shotlog::BodyNews{"long", false, "gone\x1b[2J\nfor good"}) ==
        "09:46:40 UTC ALARM long: AWAY: gone\uFFFD[2J\uFFFDfor good");
  CHECK(to_text(alarm_event(at(0), "the disk\r")) == "09:46:40 UTC ALARM the disk\uFFFD");
}

TEST_CASE("a filter, a refused command and words left unsaid are told with their reasons") {
  Bench bench;
  CHECK(bench.take(shotlog::FilterChange{"long", shotlog::FilterState::unknown, false, "restarted"}) ==
        "09:46:40 UTC long: camera filter UNKNOWN, assumed: restarted");
  CHECK(bench.take(shotlog::CommandLine{shotlog::Hold{"lang"}, "there is no such rig"}) ==
        "09:46:40 UTC command refused: hold lang: there is no such rig");
  CHECK(bench.take(shotlog::CueLine{"Halfway", at(0), "not spoken: its time had passed"}) ==
        "09:46:40 UTC \"Halfway\" not spoken: its time had passed");
  CHECK(bench.take(shotlog::CueLine{.words = "Halfway", .ends = at(0), .printed = true}) ==
        "09:46:40 UTC cue: Halfway");
  CHECK(bench.take(shotlog::CueLine{.words = "Filter on",
                                    .ends = at(0),
                                    .filter = shotlog::FilterCue{"long", shotlog::FilterState::on, true},
                                    .printed = true}) == "09:46:40 UTC ALARM cue: Filter on");
  CHECK(bench.take(shotlog::BodyNews{"long", true, {}}) == "09:46:40 UTC long: ready");
}

TEST_CASE("a step left out for want of totality is an alarm, one left out by its own condition is not") {
  const shotlog::Skip left_out{{"long", "corona", 0, 0}, {}, shotlog::SkipReason::not_here, "there is no C2"};
  for (const auto kind : {contacts::Kind::partial, contacts::Kind::total}) {
    Bench bench;
    shotlog::Header header;
    header.kind = kind;
    (void)bench.take(header);
    const std::string alarm = kind == contacts::Kind::partial ? "ALARM " : "";
    CHECK(bench.take(left_out) == "09:46:40 UTC " + alarm + "long: corona is left out: there is no C2");
  }
}
