#include <algorithm>

#include <doctest/doctest.h>

#include "tests/unit/run/fixture.h"

using namespace noonfall;
using namespace noonfall::run;
using shotlog::FilterState;

namespace {

constexpr order::FrameId first{0, 0, 1, 1};

Bench ordered() {
  Bench bench{timeline_of({targets("crescent", {100s, 200s, 300s})})};
  bench.step(97s);
  return bench;
}

order::Report cancelled(const std::string& why) {
  auto report = fired(1, first, 100s);
  report.outcome = order::Outcome::cancelled;
  report.why = why;
  return report;
}

}  // namespace

TEST_CASE("holding a rig cancels what is out and passes over what comes, until it is resumed") {
  auto bench = ordered();
  CHECK(bench.step(98s, {Request{Hold{"long"}}}) ==
        "command \"hold long\" | cancel 1 on 0: the rig was held | wake 117001.953");
  CHECK(bench.step(98'100ms, {cancelled("the rig was held"), order::Report{done(1, 98'100ms)}}) ==
        "cancelled long/crescent 1.1 due 100000: the rig was held | wake 197000");
  CHECK(bench.step(197s) == "skip long/crescent 2.1: the rig was held | wake 297000");
  CHECK(bench.step(250s, {Request{Resume{"long"}}}) ==
        "command \"resume long\" | recover 0 until 250000 | wake 297000");
  CHECK(bench.orders(297s) == "order 2 to 0: 1 frames, prepare 299000, earliest 300000");
}

TEST_CASE("holding a rig twice cancels an order once") {
  auto bench = ordered();
  bench.step(98s, {Request{Hold{"long"}}});
  CHECK(bench.step(99s, {Request{Hold{"long"}}}) == "command \"hold long\" | wake 117001.953");
}

TEST_CASE("a held rig takes up a back-to-back step where it is when resumed") {
  Bench bench{timeline_of({back_to_back("corona", 100s, 110s)})};
  CHECK(bench.step(90s, {Request{Hold{"long"}}}) == "command \"hold long\" | wake 97000");
  CHECK(bench.step(97s) == "wake 110000");
  CHECK(bench.orders(105s, {Request{Resume{"long"}}}) ==
        "recover 0 until 105000 | order 1 to 0: 2 frames, prepare 99000, earliest 100000");
}

TEST_CASE("resuming a rig that isn't held asks nothing of it") {
  auto bench = ordered();
  CHECK(bench.step(98s, {Request{Resume{"long"}}}) == "command \"resume long\" | wake 117001.953");
}

TEST_CASE("a trim moves every later frame of the rig by stops, and a second one moves it on") {
  auto timeline = timeline_of({targets("crescent", {100s, 200s, 300s, 400s})});
  timeline.rigs.front().profile.choices = {
      {{1, 2000}, {1, 1000}, {1, 500}, {1, 250}}, {}, {{200}, {400}, {800}}};
  Run run{timeline, {}, {}};
  const auto exposures = [&](Duration now, const std::vector<Input>& inputs) {
    std::vector<exposure::Exposure> out;
    for (const auto& line : run.step(at(now), inputs).lines) {
      if (const auto* intent = std::get_if<shotlog::Intent>(&line.entry)) out.push_back(intent->exposure);
    }
    return out;
  };
  using Exposures = std::vector<exposure::Exposure>;
  CHECK(exposures(97s, {}) == Exposures{quick});
  CHECK(exposures(197s, {Request{Trim{"long", -1}}}) == Exposures{{{1, 1000}, exposure::FNumber{80}, {400}}});
  CHECK(exposures(297s, {order::Report{done(1, 100s)}, order::Report{done(2, 200s)},
                         Request{Trim{"long", -2}}}) == Exposures{{{1, 2000}, exposure::FNumber{80}, {200}}});
  CHECK(exposures(397s, {order::Report{done(3, 300s)}, Request{Trim{"long", 3}}}) == Exposures{quick});
}

TEST_CASE("stop cancels what is out, asks for nothing more, and ends when the rigs have let go") {
  auto bench = ordered();
  CHECK(bench.step(98s, {Request{Stop{}}}) ==
        "command \"stop\" | cancel 1 on 0: stopped by the operator | wake 117001.953");
  CHECK(bench.step(98'100ms, {cancelled("stopped by the operator"), order::Report{done(1, 98'100ms)}}) ==
        "cancelled long/crescent 1.1 due 100000: stopped by the operator | stopped by the operator | "
        "finished");
}

TEST_CASE("`clock ok` is logged and changes nothing else here, taken or not") {
  auto bench = ordered();
  CHECK(bench.lines(97'500ms, {Request{ClockOk{}, "within totality the clock isn't moved"}}) ==
        "command \"clock ok\": within totality the clock isn't moved");
  CHECK(bench.step(98s, {Request{ClockOk{}}}) == "command \"clock ok\" | wake 117001.953");
}

TEST_CASE("a back-to-back step held to its end is left out with the reason") {
  Bench bench{timeline_of({back_to_back("corona", 100s, 110s)})};
  bench.step(90s, {Request{Hold{"long"}}});
  CHECK(bench.step(110s) == "skip long/corona 0.0: the rig was held | the plan is done | finished");
}

TEST_CASE("skipping a step cancels its orders and leaves out the rest of it, no other step") {
  Bench bench{timeline_of({targets("crescent", {100s, 200s}), targets("corona", {300s})})};
  bench.step(97s);
  CHECK(bench.step(98s, {Request{SkipStep{"crescent"}}}) ==
        "command \"skip crescent\" | skip long/crescent 0.0: the operator skipped the step | "
        "cancel 1 on 0: the operator skipped the step | wake 117001.953");
  CHECK(bench.lines(99s, {cancelled("the operator skipped the step"), order::Report{done(1, 99s)}}) ==
        "cancelled long/crescent 1.1 due 100000: the operator skipped the step");
  CHECK(bench.orders(297s) == "order 2 to 0: 1 frames, prepare 299000, earliest 300000");
}

TEST_CASE("a step yet to come can be skipped") {
  Bench bench{timeline_of({targets("crescent", {100s}), targets("corona", {300s})})};
  CHECK(bench.lines(10s, {Request{SkipStep{"corona"}}}) == "command \"skip corona\"");
  CHECK(bench.lines(97s) ==
        "intent long/crescent 1.1 order 1 due 100000 latest 102000 | "
        "skip long/corona 0.0: the operator skipped the step");
}

TEST_CASE("a command for a rig that isn't there is refused with a line and changes nothing") {
  auto bench = ordered();
  CHECK(bench.step(98s, {Request{Hold{"wide"}}, Request{Resume{"wide"}},
                         Request{SetFilter{"wide", FilterState::on}}}) ==
        "command \"hold wide\": there is no such rig | command \"resume wide\": there is no such rig | "
        "command \"filter wide on\": there is no such rig | wake 117001.953");
}

TEST_CASE("a skip of a step that isn't there is refused with a line") {
  auto bench = ordered();
  CHECK(bench.step(98s, {Request{SkipStep{"bead"}}}) ==
        "command \"skip bead\": there is no such step | wake 117001.953");
}

TEST_CASE("a rig without a camera filter has none to confirm") {
  auto bench = ordered();
  CHECK(bench.lines(98s, {Request{SetFilter{"long", FilterState::off}}}) ==
        "command \"filter long off\": the rig has no camera filter");
}

TEST_CASE("a change of the clock's grade is logged and dates the lines from then on") {
  Run run{timeline_of({targets("crescent", {100s})}),
          {shotlog::Mode::event, "hash", {}},
          {shotlog::ClockGrade::a, 3ms}};
  REQUIRE(run.step(at(0s), {}).lines.size() == 1);
  const std::vector<Input> inputs{ClockChange{{shotlog::ClockGrade::f, {}}, "no time source"}};
  const auto lines = run.step(at(1s), inputs).lines;
  REQUIRE(lines.size() == 1);
  CHECK(lines.front() ==
        shotlog::Line{2, at(1s), {shotlog::ClockGrade::f, {}}, shotlog::ClockLine{"no time source"}});
}

TEST_CASE("a flood of commands that can't be carried out is answered one by one, and logged by its count") {
  Run run{timeline_of({targets("crescent", {1000s})}), {}, {}};
  (void)run.step(at(0s), {});
  std::size_t lines = 0;
  std::size_t answers = 0;
  std::vector<std::string> notes;
  const auto keep = [&](const Output& out) {
    lines += out.lines.size();
    for (const auto& answer : out.replies) answers += answer == "there is no such rig" ? 1 : 0;
    for (const auto& line : out.lines) {
      if (const auto* note = std::get_if<shotlog::Note>(&line.entry)) notes.push_back(note->words);
    }
    return out.wake;
  };
  const std::vector<Input> refused{Request{Hold{"wide"}}};
  for (int n = 0; n < 10'000; ++n) keep(run.step(at(10s + n * 1ms), refused));
  CHECK(answers == 10'000);
  CHECK(lines == 20);
  CHECK(keep(run.step(at(19'999ms), {})) == at(20s));
  keep(run.step(at(20s), {}));
  CHECK(notes == std::vector<std::string>{
                     "9980 more refused commands are left out of the log: 20 in 10 s are logged"});
  keep(run.step(at(21s), refused));
  CHECK(lines == 22);  // and then one by one again
}

TEST_CASE("words that are no command and remarks are rationed apart, so that neither keeps out the other") {
  Run run{timeline_of({targets("crescent", {1000s})}), {}, {}};
  (void)run.step(at(0s), {});
  std::vector<Input> inputs(500, Misheard{"blah", "no such command"});
  inputs.insert(inputs.end(), 500, Remark{"the worker hums"});
  const auto flooded = run.step(at(10s), inputs).lines;
  REQUIRE(flooded.size() == 40);
  CHECK(std::get<shotlog::Note>(flooded.front().entry).words ==
        "the operator said \"blah\": no such command");
  CHECK(std::get<shotlog::Note>(flooded.back().entry).words == "the worker hums");
  // A run that ends tells at once what it left out.
  const auto last = run.step(at(11s), std::vector<Input>{Request{Stop{}}}).lines;
  REQUIRE(last.size() == 4);
  CHECK(std::get<shotlog::Note>(last[1].entry).words ==
        "480 more refused commands are left out of the log: 20 in 10 s are logged");
  CHECK(std::get<shotlog::Note>(last[2].entry).words ==
        "480 more remarks are left out of the log: 20 in 10 s are logged");
  CHECK(last[3].entry == shotlog::Entry{shotlog::Ended{shotlog::RunEnd::stopped}});
}

TEST_CASE(
    "a flood of commands that could be carried out is refused beyond a number, but never the first stop") {
  Run run{timeline_of({targets("crescent", {1000s})}), {}, {}};
  (void)run.step(at(0s), {});
  const auto out = run.step(at(10s), std::vector<Input>(60, Request{Hold{"long"}}));
  CHECK(std::count(out.replies.begin(), out.replies.end(), "") == 50);
  CHECK(out.replies.back() == "50 commands in 10 s are carried out and no more: say it again in a moment");
  CHECK(run.step(at(11s), std::vector<Input>{Request{Stop{}}}).replies == std::vector<std::string>{""});
}

TEST_CASE("a remark as long as a book is cut at a whole character") {
  Run run{timeline_of({targets("crescent", {1000s})}), {}, {}};
  (void)run.step(at(0s), {});
  std::string book(999, 'x');
  for (int n = 0; n < 1000; ++n) book += "é";
  const auto lines = run.step(at(1s), std::vector<Input>{Remark{book}}).lines;
  REQUIRE(lines.size() == 1);
  CHECK(std::get<shotlog::Note>(lines[0].entry).words == std::string(999, 'x') + " …");
}
