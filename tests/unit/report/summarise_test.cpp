#include <doctest/doctest.h>

#include "tests/unit/report/hand_made_log.h"

using namespace noonfall;
using namespace noonfall::report;
using order::Outcome;
using shotlog::Tally;

namespace {

Summary summary_of(const shotlog::Replayed& log) {
  const auto summary = summarise(log);
  REQUIRE(summary.has_value());
  return *summary;
}

const StepSummary& pairs(const Summary& summary) {
  return summary.steps.at(0);
}
const StepSummary& beads(const Summary& summary) {
  return summary.steps.at(1);
}

}  // namespace

TEST_CASE("nothing can be said of a log without a header") {
  CHECK_FALSE(summarise(shotlog::Replayed{}).has_value());
  auto log = log_of({fired(pair(1, 1), 5s)});
  log.lines.erase(log.lines.begin());
  CHECK_FALSE(summarise(log).has_value());
}

TEST_CASE("frames count by their last word, in the step and in all") {
  const auto summary = summary_of(log_of({
      fired(pair(1, 1), 5s),
      not_fired(pair(1, 2), Outcome::failed, "no focus"),
      not_fired(pair(2, 1), Outcome::unknown, "no word"),
      not_fired(pair(2, 2), Outcome::cancelled, "held"),
      shotlog::Skip{pair(3, 1), at(9s), shotlog::SkipReason::other, "too late"},
      intent(pair(3, 2), 10s),
  }));
  const Tally one_of_each{1, 1, 1, 1, 1, 1, 0};
  CHECK(pairs(summary).frames == one_of_each);
  CHECK(beads(summary).frames == Tally{});
  CHECK(summary.total == one_of_each);
  CHECK(summary.planned_frames == 14);
}

TEST_CASE("a frame due after the end of a log still going isn't missed") {
  auto log = log_of({fired(pair(1, 1), 5s), intent(pair(1, 2), 8s), intent(pair(2, 1), 12s)});
  log.lines.back().utc = at(10s);
  const auto going = summary_of(log);
  CHECK(pairs(going).frames.open == 2);
  CHECK(pairs(going).missed() == 1);
  log.lines.push_back({5, at(10s), {}, shotlog::Ended{shotlog::RunEnd::stopped}});
  CHECK(pairs(summary_of(log)).missed() == 2);
}

TEST_CASE("a late word replaces the one before") {
  const auto summary = summary_of(
      log_of({intent(pair(1, 1), 5s), not_fired(pair(1, 1), Outcome::unknown, "no word came from the rig"),
              fired(pair(1, 1), 5s, 20ms, "reported late")}));
  CHECK(pairs(summary).frames == Tally{1, 0, 0, 0, 0, 0, 0});
  CHECK(pairs(summary).reasons == std::map<std::string, int>{{"reported late", 1}});
}

TEST_CASE("a set is whole when every frame of it fired") {
  const auto summary = summary_of(log_of({
      fired(pair(1, 1), 5s), fired(pair(1, 2), 6s),                               // whole
      fired(pair(2, 1), 7s), not_fired(pair(2, 2), Outcome::unknown, "no word"),  // not
      fired(pair(3, 1), 9s), intent(pair(3, 2), 10s),                             // cut off
  }));
  CHECK(pairs(summary).whole_sets == 1);
}

TEST_CASE("a burst counts in lengths of one set, the frames left over don't") {
  const auto burst = [](int frames_fired) {
    auto log = log_of({});
    for (std::int32_t n = 1; n <= 7; ++n) {
      shotlog::Entry entry = fired(bead(n), 30s + n * 1s);
      if (n > frames_fired) entry = not_fired(bead(n), Outcome::failed, "the body stayed busy");
      log.lines.push_back({n + 1, at(50s), {}, entry});
    }
    return beads(summary_of(log)).whole_sets;
  };
  CHECK(burst(7) == 3);
  CHECK(burst(6) == 3);
  CHECK(burst(5) == 2);
  CHECK(burst(1) == 0);
}

TEST_CASE("a frame that a step's end left untaken isn't missed, nor is it a reason") {
  const auto summary = summary_of(
      log_of({fired(bead(1), 30s), shotlog::Skip{bead(2), at(40s), shotlog::SkipReason::step_over}}));
  CHECK(beads(summary).frames == Tally{1, 0, 0, 0, 0, 0, 1});
  CHECK(beads(summary).reasons.empty());
}

TEST_CASE("reasons that differ in their details only are one") {
  const auto summary = summary_of(log_of({
      shotlog::Skip{pair(1, 1), at(5s), shotlog::SkipReason::other,
                    "too late: the shutter would open 0.42 s after its last instant"},
      shotlog::Skip{pair(1, 2), at(6s), shotlog::SkipReason::other,
                    "too late: the shutter would open 1.42 s after its last instant"},
      fired(pair(2, 1), 7s, 0ms, "wrong exposure: the dial is locked"),
      not_fired(pair(2, 2), Outcome::failed, "no focus"),
  }));
  CHECK(pairs(summary).reasons ==
        std::map<std::string, int>{{"no focus", 1}, {"too late", 2}, {"wrong exposure", 1}});
}

TEST_CASE("lateness is the upper median and the most of the fired frames, of steps with instants only") {
  const auto summary = summary_of(log_of({fired(pair(1, 1), 5s, 30ms), fired(pair(1, 2), 6s, 10ms),
                                          fired(pair(2, 1), 7s, 90ms), fired(bead(1), 30s, 70ms)}));
  CHECK(pairs(summary).median_late == 30ms);
  CHECK(pairs(summary).most_late == 90ms);
  CHECK(beads(summary).most_late == 0ms);
}

TEST_CASE("a step left out as a whole says why") {
  const auto summary = summary_of(log_of(
      {shotlog::Skip{{"long", "pairs", 0, 0}, {}, shotlog::SkipReason::not_here, "no totality here"}}));
  CHECK(pairs(summary).left_out);
  CHECK(pairs(summary).frames == Tally{});
  CHECK(pairs(summary).reasons == std::map<std::string, int>{{"no totality here", 1}});
  CHECK_FALSE(beads(summary).left_out);
}

TEST_CASE("unfiltered frames count inside the window from its first usable instant to its last closing") {
  // Usable from 22 s before C2 until 62 s after; two seconds open.
  const auto window = [](Duration opened) {
    return summary_of(log_of({fired(pair(1, 1), opened)})).windows.at(0);
  };
  CHECK(window(-22s).inside == 1);
  CHECK(window(-22s - 1us).outside == 1);
  CHECK(window(60s).inside == 1);
  CHECK(window(60s + 1us).outside == 1);
  CHECK_FALSE(summary_of(log_of({fired(pair(1, 1), 60s)})).strayed());
  CHECK(summary_of(log_of({fired(pair(1, 1), 60s + 1us)})).strayed());
}

TEST_CASE("an unfiltered frame without a word counts neither inside the window nor outside") {
  const auto window = [](const shotlog::Entry& entry) { return summary_of(log_of({entry})).windows.at(0); };
  CHECK(window(intent(pair(1, 1), 5s)).unknown == 1);
  CHECK(window(not_fired(pair(1, 1), Outcome::unknown, "no word came from the rig")).unknown == 1);
  CHECK(window(not_fired(pair(1, 1), Outcome::unknown, "no word")).inside == 0);
  CHECK(window(not_fired(pair(1, 1), Outcome::failed, "no focus")).unknown == 0);
}

namespace {

/// The plan of these tests with another window, or none.
shotlog::Amendment amended(const std::optional<shotlog::PlannedWindow>& window) {
  auto plan = header();
  plan.rigs[0].window = window;
  return {plan, "moved"};
}
const shotlog::PlannedWindow narrow{at(-10s), at(-2s), at(12s), at(20s)};

}  // namespace

TEST_CASE("each frame is judged by the window in force when it was ordered") {
  const auto summary = summary_of(log_of({
      fired(pair(1, 1), 15s),  // to 17 s: inside the first window, not the second
      intent(pair(1, 2), 17s), amended(narrow), fired(pair(1, 2), 17s),
      fired(pair(2, 1), 15s),  // ordered under the second
  }));
  REQUIRE(summary.windows.size() == 2);
  CHECK(summary.windows[0].inside == 2);
  CHECK(summary.windows[0].outside == 0);
  CHECK_FALSE(summary.windows[0].in_force);
  CHECK(summary.windows[1].window == narrow);
  CHECK(summary.windows[1].outside == 1);
  CHECK(summary.windows[1].in_force);
}

TEST_CASE("a window that an amendment took away is still what its frames are judged by") {
  const auto summary = summary_of(log_of({fired(pair(1, 1), 61s), amended({})}));
  REQUIRE(summary.windows.size() == 1);
  CHECK(summary.windows[0].outside == 1);
  CHECK(summary.strayed());
}

TEST_CASE("an amendment that leaves the window as it was makes no second one of it") {
  CHECK(summary_of(log_of({fired(pair(1, 1), 5s), amended(header().rigs[0].window)})).windows.size() == 1);
}

TEST_CASE("frames of a back-to-back step that no order came for are missed, with what kept the body") {
  const shotlog::Ended end;
  auto log =
      log_of({fired(bead(1), 30s), fired(bead(2), 31s), shotlog::BodyNews{"long", false, "off the line"},
              shotlog::BodyNews{"long", true, {}}, end});
  log.lines[3].utc = at(32s);
  log.lines[4].utc = at(38s);
  CHECK(beads(summary_of(log)).never_asked == 6);
  CHECK(beads(summary_of(log)).reasons == std::map<std::string, int>{{"off the line", 6}});
  log.lines[4].utc = at(29s);  // back before the step began
  log.lines[3].utc = at(28s);
  CHECK(beads(summary_of(log)).reasons == std::map<std::string, int>{{"its time ran out", 6}});
}

TEST_CASE("less than a set short of what was predicted, or not told to the end, is nothing missed") {
  const shotlog::Ended end;
  auto log = log_of({end});
  for (std::int32_t n = 1; n <= 7; ++n)
    log.lines.push_back({n + 2, at(50s), {}, fired(bead(n), 30s + n * 1s)});
  CHECK(beads(summary_of(log)).never_asked == 0);
  log.lines.pop_back();
  CHECK(beads(summary_of(log)).never_asked == 2);
  CHECK(beads(summary_of(log_of({fired(bead(1), 30s)}))).never_asked == 0);
}

TEST_CASE("up to a tenth short of what was predicted is missed only if a body off the line explains it") {
  const auto missed = [](bool away, int planned) {
    auto log =
        log_of({fired(bead(1), 30s), shotlog::BodyNews{"long", false, "off the line"}, shotlog::Ended{}});
    log.lines[2].utc = away ? at(32s) : at(50s);
    auto& step = std::get<shotlog::Header>(log.lines.front().entry).rigs[0].steps[1];
    step.frames = planned;
    for (std::int32_t n = 2; n <= 18; ++n) log.lines.push_back({n + 3, at(50s), {}, fired(bead(n), 30s)});
    return beads(summary_of(log)).never_asked;
  };
  CHECK(missed(false, 20) == 0);
  CHECK(missed(false, 21) == 3);
  CHECK(missed(true, 20) == 2);
}

TEST_CASE("a back-to-back step left out has missed all of its frames, for the reason it says") {
  const auto summary = summary_of(
      log_of({shotlog::Skip{{"long", "beads, \"out\"", 0, 0}, at(30s), shotlog::SkipReason::skipped},
              shotlog::Ended{}}));
  CHECK(beads(summary).never_asked == 8);
  CHECK(beads(summary).reasons == std::map<std::string, int>{{"the operator skipped the step", 1}});
}

TEST_CASE("sets of different lengths in turn are whole each by its own length") {
  auto log = log_of({fired(bead(1), 30s)});
  auto& step = std::get<shotlog::Header>(log.lines.front().entry).rigs[0].steps[1];
  step.frames_per_set = 1;
  step.frames_in_turn = {1, 3};
  for (std::int32_t n = 1; n <= 3; ++n)
    log.lines.push_back({n + 2, at(50s), {}, fired({"long", "beads, \"out\"", 2, n}, 31s)});
  CHECK(beads(summary_of(log)).whole_sets == 2);  // not four
}

TEST_CASE("filtered frames have nothing to do with the window") {
  auto log = log_of({fired(pair(1, 1), 100s)});
  std::get<shotlog::Header>(log.lines.front().entry).rigs[0].steps[0].filtered = true;
  const auto window = summary_of(log).windows.at(0);
  CHECK(window.inside + window.outside == 0);
}

TEST_CASE("stretches of totality over five seconds without an open shutter are gaps, the longest three") {
  const auto summary = summary_of(log_of({
      fired(pair(1, 1), 5s),         // C2 to 5 s: not over 5 s
      fired(pair(1, 2), 12s + 1us),  // 7 s to 12.000001 s: just over
      fired(pair(2, 1), 20s),
      fired(pair(2, 2), 29s),  // 6 s, 7 s
      fired(bead(1), 31s),     // none; then 7 s until C3
      shotlog::Ended{},
  }));
  CHECK(summary.gaps == std::vector<Gap>{{"long", at(22s), at(29s)},
                                         {"long", at(33s), at(40s)},
                                         {"long", at(14s + 1us), at(20s)}});
}

TEST_CASE("a rig that shot nothing in totality has no gaps") {
  CHECK(summary_of(log_of({fired(pair(1, 1), -30s)})).gaps.empty());
}

TEST_CASE("a run is complete when its log says so, and cut off otherwise") {
  CHECK(summary_of(log_of({shotlog::Ended{}})).complete);
  CHECK_FALSE(summary_of(log_of({shotlog::Note{"something else"}})).complete);
  CHECK_FALSE(summary_of(log_of({})).complete);
}

TEST_CASE("torn tail and damaged lines are handed on") {
  auto log = log_of({});
  CHECK_FALSE(summary_of(log).torn_tail);
  log.torn_tail = true;
  log.damage = {error_at({2, 1}, "damaged-line", ""), error_at({3, 1}, "damaged-line", ""),
                error_at({9, 1}, "sequence", "")};
  CHECK(summary_of(log).torn_tail);
  CHECK(summary_of(log).damaged_lines == 2);
}

TEST_CASE(
    "faults, clock changes, commands, amendments and unspoken words are happenings: spoken words aren't") {
  const auto summary = summary_of(
      log_of({shotlog::BodyNews{"long", false, "off the line"}, shotlog::ClockLine{"jump"},
              shotlog::CommandLine{shotlog::Hold{"long"}}, shotlog::Amendment{header(), "why"},
              shotlog::CueLine{"Halfway", at(20s), "not spoken"}, shotlog::CueLine{"Halfway", at(20s), {}},
              shotlog::FilterChange{"long", shotlog::FilterState::on, true, {}}}));
  REQUIRE(summary.happenings.size() == 5);
  CHECK(summary.happenings.back().seq == 6);
}
