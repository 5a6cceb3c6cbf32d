// What is said of the camera filter: in a rehearsal, on the day, and on the day with a clock nobody vouches
// for.
#include <chrono>
#include <csignal>
#include <filesystem>
#include <thread>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "lib/time/utc_text.h"
#include "tests/drill/day_drill.h"
#include "tests/program/daemon/field.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;

namespace {

/// A rig that a person works: nothing of it needs a camera.
const std::string by_hand = R"(noonfall: 1
title: By hand
eclipse: 2060-04-30
site: {latitude: 38, longitude: 39, elevation: 900 m}
rigs:
  tripod:
    body: by hand
    lens: {focal_length: 400 mm}
    sensor: {width: 35.9 mm, height: 23.9 mm, pixel: 5.9 um}
    mount: fixed
    exposure: {aperture: f/8, iso: 200}
    filter: {density: 5.0, opens: C2 - 30 s, closes: C3 + 30 s, handling: 8 s}
steps:
  - name: corona
    rig: tripod
    subject: corona 0.1 to 2
    at: C2 + 10 s
    exposure: {shutter: 1/60}
)";

/// C2 of that plan, by the program's own table.
Utc second_contact() {
  const auto table = run_program(NOONFALL_PROGRAM, "contacts 2060-04-30 --at 38,39,900 --json");
  const auto contacts = nlohmann::json::parse(table.out).at("contacts");
  return *parse_utc(contacts.at("C2").at("utc").get<std::string>());
}

/// noonfalld on that day, `before` the filter window opens, on a machine whose clock nobody keeps.
std::string program_on_the_day(const ScratchFolder& scratch, std::chrono::microseconds before) {
  const auto now = std::chrono::time_point_cast<Duration>(std::chrono::system_clock::now());
  const auto shift = second_contact() - 30s - before - now;
  return drill::program_on_a_day(scratch, NOONFALL_DAEMON, shift);
}

bool says(const Field& field, const std::string& words) {
  return field.count<shotlog::CueLine>(
             [&](const auto& cue) { return cue.words == words && cue.why.empty(); }) > 0;
}

/// The same with a filter window of 24 s, so that its end is near.
const std::string brief = with(with(by_hand, "opens: C2 - 30 s, closes: C3 + 30 s, handling: 8 s",
                                    "opens: C2 - 10 s, closes: C2 + 14 s, handling: 4 s"),
                               "at: C2 + 10 s", "at: C2 + 3 s");
constexpr auto before_brief = 6s - 20s;  // six seconds before that window

/// Times that the filter was called back on late, in words that an alarm stands for.
std::ptrdiff_t late_calls(const Field& field) {
  return field.count<shotlog::CueLine>([](const auto& cue) {
    return cue.words == "Camera filter back on, tripod." && cue.why.empty() && cue.filter && cue.filter->late;
  });
}

/// Its words were said, and the filter is taken to be as they left it.
bool filter_follows(const Field& field, shotlog::FilterState state, const std::string& why) {
  return comes_true([&] {
    return field.count<shotlog::FilterChange>(
               [&](const auto& change) { return change.state == state && change.why == why; }) > 0;
  });
}

bool filter_is_on(const Field& field) {
  const auto changes = field.all<shotlog::FilterChange>();
  return !changes.empty() && changes.back().state == shotlog::FilterState::on;
}

/// On again after it was off, and not before the words were over.
bool filter_comes_on(const Field& field) {
  if (!comes_true([&] { return filter_is_on(field); })) return false;
  const auto lines = field.lines();
  Utc words_end;
  for (const auto& line : lines) {
    if (const auto* cue = std::get_if<shotlog::CueLine>(&line.entry)) {
      if (cue->filter && cue->why.empty()) words_end = cue->ends;
    } else if (std::holds_alternative<shotlog::FilterChange>(line.entry) && line.utc < words_end) {
      return false;
    }
  }
  return true;
}

void begin_with_filter_off(Field& field) {
  field.daemon.start({field.plan(brief)});
  REQUIRE(comes_true([&] { return field.tell("clock ok").exit == 0; }));
  REQUIRE(filter_follows(field, shotlog::FilterState::off, "its cue was printed"));
}

}  // namespace

TEST_CASE("a dress rehearsal needs no camera by hand, and says to keep the camera filter on") {
  Field field;
  field.daemon.start({field.plan(by_hand), "--move", "C2=+36s"});
  REQUIRE(filter_follows(field, shotlog::FilterState::on, "a rehearsal: the filter stays on"));
  CHECK(says(field, "Rehearsal, keep the camera filter on, tripod."));
  CHECK(field.all<shotlog::Header>().front().mode == shotlog::Mode::dress);
  CHECK(field.printed().find("By hand: DRESS REHEARSAL: keep the camera filter on\n") != std::string::npos);
  CHECK(field.printed().find("filter off") == std::string::npos);
  CHECK(field.printed().find("filter OFF") == std::string::npos);
}

TEST_CASE("on the day, with a clock the operator vouches for, the camera filter is called off") {
  const ScratchFolder scratch;
  Field field{program_on_the_day(scratch, 15s)};
  field.daemon.start({field.plan(by_hand)});
  REQUIRE(comes_true([&] { return field.tell("clock ok").exit == 0; }));
  REQUIRE(filter_follows(field, shotlog::FilterState::off, "its cue was printed"));
  CHECK(says(field, "Camera filter on, tripod."));
  CHECK(says(field, "Camera filter off, tripod."));
  CHECK_FALSE(says(field, "Clock not verified, operator decides."));
  CHECK(field.all<shotlog::Header>().front().mode == shotlog::Mode::event);
  CHECK(field.all<shotlog::FilterChange>().front().state == shotlog::FilterState::unknown);
  CHECK(field.printed().find("UTC By hand: FOR REAL\n") != std::string::npos);
  CHECK(field.printed().find("rehearsal") == std::string::npos);
}

TEST_CASE("on the day, with a clock nobody vouches for, the filter is not called off: the operator decides") {
  const ScratchFolder scratch;
  Field field{program_on_the_day(scratch, 6s)};
  field.daemon.start({field.plan(by_hand)});
  REQUIRE(filter_follows(field, shotlog::FilterState::unknown, "clock not verified, the operator decides"));
  CHECK(says(field, "Clock not verified, operator decides."));
  CHECK(field.printed().find("Camera filter off") == std::string::npos);
  CHECK(field.printed().find("clock F: not verified, operator decides") != std::string::npos);
  for (const auto& line : field.lines()) CHECK(line.clock.grade == shotlog::ClockGrade::f);
}

TEST_CASE("a daemon that stands still over the cue calls the filter back as soon as it goes on") {
  const ScratchFolder scratch;
  Field field{program_on_the_day(scratch, before_brief)};
  begin_with_filter_off(field);
  field.daemon.kill(SIGSTOP);
  std::this_thread::sleep_for(21s);  // to a second or more after the cue
  CHECK_FALSE(says(field, "Camera filter back on, tripod."));
  field.daemon.kill(SIGCONT);
  REQUIRE(filter_comes_on(field));
  CHECK(late_calls(field) == 1);
  CHECK(field.tell("stop").exit == 0);  // there are words to come before C3
  CHECK(field.exit() == 0);
  CHECK(field.printed().find("UTC ALARM cue: Camera filter back on, tripod.\n") != std::string::npos);
}

TEST_CASE("a daemon killed while it calls the filter back calls it again when it is there again") {
  const ScratchFolder scratch;
  Field field{program_on_the_day(scratch, before_brief)};
  begin_with_filter_off(field);
  REQUIRE(comes_true([&] { return says(field, "Camera filter back on, tripod."); }));
  field.daemon.kill(SIGKILL);
  REQUIRE(field.exit() == 128 + SIGKILL);
  CHECK_FALSE(filter_is_on(field));
  std::this_thread::sleep_for(1100ms);
  field.daemon.start({});
  REQUIRE(filter_comes_on(field));
  CHECK(late_calls(field) == 1);
  CHECK(field.tell("stop").exit == 0);  // there are words to come before C3
  CHECK(field.exit() == 0);
}

TEST_CASE("an amendment that moves the site off the path calls the filter back") {
  const ScratchFolder scratch;
  Field field{program_on_the_day(scratch, before_brief)};
  begin_with_filter_off(field);
  field.daemon.kill(SIGKILL);
  REQUIRE(field.exit() == 128 + SIGKILL);
  field.daemon.start({field.plan(with(brief, "latitude: 38", "latitude: 48")), "--amend"});
  REQUIRE(filter_comes_on(field));
  CHECK(late_calls(field) == 1);
  CHECK(field.all<shotlog::Amendment>().size() == 1);
}

TEST_CASE("told to end with the filter off, the daemon calls it back before it goes") {
  const ScratchFolder scratch;
  Field field{program_on_the_day(scratch, before_brief)};
  begin_with_filter_off(field);
  field.daemon.kill(SIGTERM);
  REQUIRE(field.exit() == 0);
  CHECK(late_calls(field) == 1);
  CHECK(filter_is_on(field));
}

TEST_CASE("within three hours of the eclipse nobody rehearses") {
  const ScratchFolder scratch;
  const Field field{program_on_the_day(scratch, 30min)};
  const auto refused = field.run("'" + field.plan(by_hand) + "' --move C2=+5min");
  CHECK(refused.exit == 1);
  CHECK(refused.err.find(" is refused: it would say to keep the camera filter on when it must come off\n"
                         "  wanted: the same command without --move and --simulate\n") != std::string::npos);
}

TEST_CASE("a run of the event is never put aside, and a rehearsal never goes into its folder") {
  const ScratchFolder scratch;
  Field field{program_on_the_day(scratch, 60s)};
  const auto plan = field.plan(by_hand);
  field.daemon.start({plan});
  REQUIRE(comes_true([&] { return !field.lines().empty(); }));
  field.daemon.kill(SIGTERM);
  REQUIRE(field.exit() == 0);
  const auto log = field.daemon.log();
  const auto afresh = field.run("'" + plan + "' --afresh");
  CHECK(afresh.exit == 1);
  CHECK(afresh.err ==
        "error: the log of the event itself is never put aside\n  wanted: another folder with --state\n");
  const auto rehearsal = field.run("'" + plan + "' --simulate --move C2=+5min");
  CHECK(rehearsal.exit == 1);
  CHECK(rehearsal.err == "error: the run in " + field.folder() +
                             " is of mode \"event\"\n"
                             "  wanted: another folder with --state, or the run as it was begun\n");
  CHECK(field.daemon.log() == log);
}

TEST_CASE("a clock that says the eclipse is over spends no run of the event") {
  const Field field;
  const auto refused =
      field.run("'" +
                field.plan(with(with(by_hand, "2060-04-30", "2020-12-14"), "latitude: 38, longitude: 39",
                                "latitude: -39.5, longitude: -70.5")) +
                "'");
  CHECK(refused.exit == 1);
  CHECK(refused.err.find(
            "error: nothing of this plan is still to come: it ended 2020-12-14 16:09 UTC, and this "
            "computer's clock says ") != std::string::npos);
  CHECK(refused.err.ends_with("  wanted: a clock that is right; or, to rehearse, --move C2=+5min\n"));
  CHECK_FALSE(std::filesystem::exists(field.folder() + "/shots.jsonl"));
}
