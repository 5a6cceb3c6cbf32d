#include <doctest/doctest.h>

#include "tests/unit/report/hand_made_log.h"

using namespace noonfall;
using namespace noonfall::report;
using order::Outcome;

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
  CHECK_FALSE(summarise({}).has_value());
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
      shotlog::Skip{pair(3, 1), at(9s), "too late"},
      intent(pair(3, 2), 10s),
  }));
  const Tally one_of_each{1, 1, 1, 1, 1, 1, 0};
  CHECK(pairs(summary).frames == one_of_each);
  CHECK(beads(summary).frames == Tally{});
  CHECK(summary.total == one_of_each);
  CHECK(summary.planned_frames == 14);
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
      log_of({fired(bead(1), 30s), shotlog::Skip{bead(2), at(40s), std::string{shotlog::step_over}}}));
  CHECK(beads(summary).frames == Tally{1, 0, 0, 0, 0, 0, 1});
  CHECK(beads(summary).reasons.empty());
}

TEST_CASE("reasons that differ in their details only are one") {
  const auto summary = summary_of(log_of({
      shotlog::Skip{pair(1, 1), at(5s), "too late: the shutter would open 0.42 s after its last instant"},
      shotlog::Skip{pair(1, 2), at(6s), "too late: the shutter would open 1.42 s after its last instant"},
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
  const auto summary = summary_of(log_of({shotlog::Skip{{"long", "pairs", 0, 0}, {}, "no totality here"}}));
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
  CHECK(window(60s + 1us).first_opened == at(60s + 1us));
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

TEST_CASE("filtered frames have nothing to do with the window") {
  auto log = log_of({fired(pair(1, 1), 100s)});
  std::get<shotlog::Header>(log.lines.front().entry).rigs[0].steps[0].filtered = true;
  const auto window = summary_of(log).windows.at(0);
  CHECK(window.inside + window.outside == 0);
}

TEST_CASE("stretches of totality over five seconds without an open shutter are gaps, the longest three") {
  const auto summary = summary_of(log_of({
      fired(pair(1, 1), 5s),                           // C2 to 5 s: not over 5 s
      fired(pair(1, 2), 12s + 1us),                    // 7 s to 12.000001 s: just over
      fired(pair(2, 1), 20s), fired(pair(2, 2), 29s),  // 6 s, 7 s
      fired(bead(1), 31s),                             // none; then 7 s until C3
  }));
  CHECK(summary.gaps == std::vector<Gap>{{"long", at(22s), at(29s)},
                                         {"long", at(33s), at(40s)},
                                         {"long", at(14s + 1us), at(20s)}});
}

TEST_CASE("a rig that shot nothing in totality has no gaps") {
  CHECK(summary_of(log_of({fired(pair(1, 1), -30s)})).gaps.empty());
}

TEST_CASE("a run is complete when its log says so, and cut off otherwise") {
  CHECK(summary_of(log_of({shotlog::Note{std::string{shotlog::plan_done}}})).complete);
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
    "faults, clock changes, commands, amendments and unspoken words are happenings; spoken words aren't") {
  const auto summary = summary_of(log_of(
      {shotlog::Fault{"long", false, "off the line"}, shotlog::ClockLine{"jump"},
       shotlog::CommandLine{"hold long", {}}, shotlog::Amendment{header(), "why"},
       shotlog::CueSpoken{"Halfway", at(20s), "not spoken"}, shotlog::CueSpoken{"Halfway", at(20s), {}},
       shotlog::FilterChange{"long", shotlog::FilterState::on, true, {}}}));
  REQUIRE(summary.happenings.size() == 5);
  CHECK(summary.happenings.back().seq == 6);
}
