// The daemon's live run from its start to its end, in virtual time.
#include "daemon/event_loop/live_run.h"

#include <csignal>

#include <doctest/doctest.h>

#include "lib/shotlog/replay.h"
#include "sim/rehearse/rehearsal.h"
#include "tests/unit/event_loop/virtual_day.h"

namespace noonfall::event_loop {
namespace {

using namespace std::chrono_literals;
using tests::VirtualDay;

template <class Entry>
std::vector<Entry> all(const VirtualDay& day) {
  std::vector<Entry> found;
  for (const auto& line : shotlog::replay(day.log()).lines) {
    if (const auto* entry = std::get_if<Entry>(&line.entry)) found.push_back(*entry);
  }
  return found;
}

bool noted(const VirtualDay& day, const std::string& words) {
  const auto notes = all<shotlog::Note>(day);
  return std::ranges::any_of(notes, [&](const auto& note) { return note.words.find(words) == 0; });
}

bool has(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

std::vector<order::FrameId> frames_of(const std::vector<sim::RecordedFrame>& taken) {
  std::vector<order::FrameId> frames;
  for (const auto& frame : taken) frames.push_back(frame.id);
  return frames;
}

}  // namespace

TEST_CASE("a run goes to the plan's end by itself, takes what its rehearsal takes, and leaves the bodies") {
  VirtualDay day;
  const auto begun = day.now();
  day.start();
  CHECK(day.listened == 1);
  CHECK(day.worker->clocks == std::vector<ClockMapping>{day.clock.mapping()});
  CHECK_FALSE(day.until([] { return false; }));
  CHECK(day.over);
  CHECK(day.worker->is_down);
  CHECK(day.bodies_left);
  CHECK(day.live->plan_is_done());
  sim::RehearsalSetup setup;
  setup.timeline = day.timeline;
  setup.facts = day.facts;
  setup.seed = day.seed;
  setup.start = begun;
  const auto rehearsed = sim::rehearse(setup);
  CHECK(frames_of(day.worker->taken()) == frames_of(rehearsed.taken.at(0)));
  CHECK(day.worker->taken().size() > 30);
  const auto outcomes = all<shotlog::FrameOutcome>(day);
  CHECK(std::ranges::count(outcomes, order::Outcome::fired, &shotlog::FrameOutcome::result) ==
        static_cast<std::ptrdiff_t>(day.worker->taken().size()));
  CHECK(all<shotlog::ClockLine>(day).front().why == "the daemon started; a simulated clock");
  CHECK(has(day.shown(), " UTC long: corona begins\n"));
  CHECK(has(day.shown(), " UTC the plan is done\n"));
}

TEST_CASE("a worker is told what is due next before its first order") {
  VirtualDay day;
  day.start();
  REQUIRE(day.worker->next_due);
  const auto due = *day.worker->next_due;
  REQUIRE(day.until([&] { return day.worker->orders == 1; }));
  CHECK(day.now() <= due);
  CHECK(*day.worker->next_due > due);
}

TEST_CASE("commands are carried out and answered, and what can't be is refused in words") {
  VirtualDay day;
  day.start();
  CHECK(day.answer("help").starts_with("yes: "));
  CHECK(has(day.answer("help"), "hold RIG"));
  CHECK(day.answer("hold lang") == "no: there is no rig \"lang\" (wanted: \"long\")");
  CHECK(day.answer("hold long") == "yes: hold long");
  day.pass(60s);
  CHECK(day.worker->taken().empty());
  CHECK(day.answer("resume long") == "yes: resume long");
  day.pass(5min);
  CHECK(day.worker->taken().size() > 10);
  CHECK(all<shotlog::CommandLine>(day) ==
        std::vector<shotlog::CommandLine>{{shotlog::Hold{"long"}}, {shotlog::Resume{"long"}}});
  CHECK(noted(day, "the operator said \"hold lang\": there is no rig"));
}

TEST_CASE("when the journal can't write, the alarm comes once and the shooting goes on") {
  VirtualDay day;
  day.start();
  REQUIRE(day.until([&] { return day.worker->taken().size() == 2; }));
  day.failing.room = 0;
  const auto stuck_at = day.log();
  REQUIRE(day.until([&] { return day.worker->taken().size() == 8; }));
  const std::string alarm =
      "ALARM the shot log can't be written: No space left on device; the shooting goes on and its lines wait "
      "in memory\n";
  const auto shown = day.shown();
  CHECK(has(shown, alarm));
  CHECK(shown.find(alarm) == shown.rfind(alarm));
  CHECK(day.log() == stuck_at);
  day.failing.room = 1 << 30;
  day.pass(2s);
  CHECK(noted(day, "the shot log is written again, nothing is lost"));
  CHECK_FALSE(day.until([] { return false; }));
  CHECK(day.live->plan_is_done());
  const auto outcomes = all<shotlog::FrameOutcome>(day);
  CHECK(std::ranges::count(outcomes, order::Outcome::fired, &shotlog::FrameOutcome::result) ==
        static_cast<std::ptrdiff_t>(day.worker->taken().size()));
}

TEST_CASE("a folder that is gone is made anew, with an alarm and a socket for commands in it") {
  VirtualDay day;
  day.start();
  REQUIRE(day.until([&] { return day.worker->taken().size() == 2; }));
  const auto before = day.log();
  std::filesystem::rename(day.scratch.path("run"), day.scratch.path("away"));
  day.pass(2s);
  CHECK(day.log().starts_with(before));
  CHECK(day.listened == 2);
  CHECK(
      has(day.shown(), "ALARM " + day.scratch.path("run") + " or its shots.jsonl was deleted or moved away"));
}

TEST_CASE("stop ends the run with the workers, and the plan isn't done") {
  VirtualDay day;
  day.start();
  REQUIRE(day.until([&] { return day.worker->taken().size() == 2; }));
  SUBCASE("by a command") {
    CHECK(day.answer("stop") == "yes: stop");
  }
  SUBCASE("by SIGINT") {
    day.live->on_signal(SIGINT);
  }
  CHECK_FALSE(day.until([] { return false; }));
  CHECK(day.over);
  CHECK(day.worker->is_down);
  CHECK(day.bodies_left);
  CHECK_FALSE(day.live->plan_is_done());
  CHECK(all<shotlog::Ended>(day) == std::vector<shotlog::Ended>{{shotlog::RunEnd::stopped}});
  CHECK(day.worker->taken().size() <= 3);
}

TEST_CASE("a second SIGINT waits for nobody") {
  VirtualDay day;
  day.start();
  day.live->on_signal(SIGINT);
  day.live->on_signal(SIGINT);
  CHECK(day.over);
}

TEST_CASE("SIGTERM leaves the workers to go on, and a terminal that goes away ends nothing") {
  VirtualDay day;
  day.start();
  REQUIRE(day.until([&] { return day.worker->taken().size() == 2; }));
  day.live->on_signal(SIGHUP);
  CHECK_FALSE(day.over);
  CHECK(noted(day, "the terminal went away; the run goes on"));
  day.live->on_signal(SIGTERM);
  CHECK(day.over);
  CHECK_FALSE(day.worker->is_down);
  CHECK_FALSE(day.bodies_left);
  CHECK_FALSE(day.live->plan_is_done());
}

TEST_CASE("where no commands can be taken the run goes on, and says why") {
  VirtualDay day;
  day.why_no_commands = "can't listen there";
  day.start();
  CHECK(noted(day, "no commands can be taken: can't listen there"));
  REQUIRE(day.until([&] { return day.worker->taken().size() == 2; }));
}

TEST_CASE("a change of the clock reaches the workers and the log") {
  VirtualDay day;
  day.start();
  auto mapping = day.clock.mapping();
  mapping.utc += 20ms;
  day.live->clock_changed({day.clock.state(), "somebody set the clock", {}}, mapping);
  CHECK(day.worker->clocks.back() == mapping);
  const auto changes = all<shotlog::ClockLine>(day);
  REQUIRE(changes.size() == 2);
  CHECK(changes[1].why == "somebody set the clock");
  REQUIRE(changes[1].stamp);
  CHECK(changes[1].stamp->mapping == mapping);
}

}  // namespace noonfall::event_loop
