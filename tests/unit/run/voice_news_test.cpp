// What the core makes of what a voice tells: how long words last, whether they were heard.
#include <doctest/doctest.h>

#include "lib/run/recovery_ladder.h"
#include "tests/unit/run/fixture.h"

using namespace noonfall;
using namespace noonfall::run;
using shotlog::FilterState;

namespace {

const std::string filter_on = "Camera filter on, long.";
const std::string filter_off = "Camera filter off, long.";
const std::string back_on = "Camera filter back on, long.";
const std::string now_off = "filter of long off: its cue was spoken";

timeline::Timeline with_use_until(Duration until) {
  auto timeline = timeline_with_window();
  auto step = back_to_back("corona", 110s, until);
  step.filtered = false;
  timeline.rigs.front().steps = {step};
  return timeline;
}

Input heard(const std::string& words, Duration ends, std::string why_not = {}) {
  return Voiced{words, at(ends), std::move(why_not)};
}

/// The filter is on, and the voice has the words for it.
Bench with_voice(const timeline::Timeline& timeline) {
  Bench bench{timeline};
  bench.step(0s, {Request{SetFilter{"long", FilterState::on}}, Rendered{filter_off, 3s},
                  Rendered{back_on, 2s}, Rendered{filter_on, 2s}});
  return bench;
}

Bench with_filter_off(const timeline::Timeline& timeline) {
  auto bench = with_voice(timeline);
  bench.step(96'800ms);
  bench.step(100s, {heard(filter_off, 100s)});
  return bench;
}

bool has(const std::string& text, const std::string& what) {
  return text.find(what) != std::string::npos;
}

}  // namespace

TEST_CASE("words that were rendered begin by their own length, a lead-in before") {
  auto bench = with_voice(timeline_with_window());
  CHECK(bench.lines(96'799ms).empty());
  CHECK(bench.lines(96'800ms) == "cue \"" + filter_off + "\"");
}

TEST_CASE("the filter is off when the voice says that it was heard, and a second later in any case") {
  auto bench = with_voice(timeline_with_window());
  bench.step(96'800ms);
  auto silent = bench;
  CHECK(bench.lines(100s).empty());
  CHECK(bench.lines(100'050ms, {heard(filter_off, 100s)}) == now_off);
  CHECK(silent.lines(101s - 1us).empty());
  CHECK(silent.lines(101s) == "filter of long off: its cue was printed");
}

TEST_CASE("news of other words, or of the same at another instant, count for nothing") {
  auto bench = with_voice(timeline_with_window());
  bench.step(96'800ms);
  CHECK(bench.lines(100s, {heard(filter_off, 99s), heard(back_on, 100s)}).empty());
}

TEST_CASE("words to put the filter back that nobody heard are said again at once") {
  auto bench = with_filter_off(with_use_until(190s));
  bench.step(197'800ms);
  const auto news = bench.lines(200s, {heard(back_on, 200s, "cut off")});
  CHECK(has(news, "filter of long unknown: its cue wasn't heard"));
  CHECK(has(news, "late cue \"" + back_on + "\""));
  CHECK(has(bench.lines(203s, {heard(back_on, 202'200ms)}), "filter of long on: its cue was spoken"));
}

TEST_CASE("a voice that is lost speaks no more until it has rendered anew") {
  auto bench = with_voice(timeline_with_window());
  CHECK(has(bench.lines(1s, {VoiceLost{"the loudspeaker went away"}}), "the loudspeaker went away"));
  // by the rule of letters again: nothing tells, so nothing is waited for
  CHECK(bench.lines(96'800ms).empty());
  bench.step(98'085'714us);
  CHECK(bench.lines(100s) == "filter of long off: its cue was printed");
}

TEST_CASE("within the window a filter that a person says is on is called off again every ten seconds") {
  auto bench = with_filter_off(with_use_until(190s));
  CHECK(has(bench.lines(120s, {Request{SetFilter{"long", FilterState::on}}}), "cue \"" + filter_off + "\""));
  CHECK(has(bench.lines(123'200ms, {heard(filter_off, 123'200ms)}), now_off));
  const std::vector<Input> still_on{Request{SetFilter{"long", FilterState::on}}};
  CHECK_FALSE(has(bench.lines(124s, still_on), "cue"));
  CHECK(has(bench.lines(130s), "cue \"" + filter_off + "\""));
  // what is left wouldn't pay for handling it
  CHECK(has(bench.lines(133'200ms, {heard(filter_off, 133'200ms)}), now_off));
  CHECK_FALSE(has(bench.lines(180s, still_on), "cue"));
}

TEST_CASE("the words of the window's end come once more when the filter should be on, unless confirmed") {
  auto with_more = with_use_until(190s);
  with_more.rigs.front().steps.push_back(back_to_back("sunset", 400s, 420s));
  auto bench = with_filter_off(with_more);
  bench.step(197'800ms);
  bench.step(200s, {heard(back_on, 200s)});
  auto confirmed = bench;
  CHECK(has(bench.lines(205'800ms), "cue \"" + back_on + "\""));
  confirmed.step(203s, {Request{SetFilter{"long", FilterState::on}}});
  CHECK_FALSE(has(confirmed.lines(205'800ms), "cue"));
}

TEST_CASE(
    "what is tried for a lost body ends with its power and a person, and stays with what can still pay") {
  using order::Remedy;
  RecoveryLadder ladder{true};
  ladder.body_is(false, at(0s));
  const auto next = [&](Duration now, Utc wanted) { return *ladder.advance(at(now), wanted); };
  CHECK(next(0s, Utc::max()).recover.remedy == Remedy::reopen);
  CHECK_FALSE(ladder.advance(at(29s), Utc::max()));
  CHECK(next(30s, Utc::max()).recover.remedy == Remedy::reset_port);
  const auto worker = next(60s, Utc::max());
  CHECK(worker.recover.remedy == Remedy::restart_worker);
  CHECK_FALSE(worker.asks);
  // The worker is on the line, its body isn't.
  ladder.body_is(true, at(61s));
  ladder.body_is(false, at(62s));
  CHECK_FALSE(ladder.advance(at(89s), Utc::max()));
  const auto power = next(90s, Utc::max());
  CHECK(power.recover.remedy == Remedy::cycle_power);
  CHECK(power.asks);
  CHECK(next(120s, Utc::max()).recover.remedy == Remedy::reopen);
  CHECK(next(150s, at(154s)).recover.remedy == Remedy::reopen);
  RecoveryLadder without{false};
  without.body_is(false, at(0s));
  CHECK(without.advance(at(0s), Utc::max())->recover.remedy == Remedy::reopen);
  CHECK(without.advance(at(30s), Utc::max())->recover.remedy == Remedy::reset_port);
  CHECK(without.advance(at(60s), Utc::max())->asks);
}
