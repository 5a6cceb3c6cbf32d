// The limits of the grades are this project's own (docs/timing.md); the drift of an unattended clock is PHI
// of RFC 5905, 15 ppm.
#include "daemon/clock/grade.h"

#include <doctest/doctest.h>

#include "tests/unit/clock/machine.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;
using shotlog::ClockGrade;
using tests::noon;

const BootTime now{1h};
const Sanity sanity{noon - std::chrono::days{100}, noon + 1h};

using Sources = std::vector<Heard<Reading>>;

Judgement judged(const Sources& sources, Utc system_time = noon) {
  return judge(sources, now, system_time, sanity);
}

}  // namespace

TEST_CASE("grades go by the bound, the limit included") {
  CHECK(grade_of(20ms) == ClockGrade::a);
  CHECK(grade_of(20ms + 1us) == ClockGrade::b);
  CHECK(grade_of(100ms) == ClockGrade::b);
  CHECK(grade_of(100ms + 1us) == ClockGrade::c);
  CHECK(grade_of(500ms) == ClockGrade::c);
  CHECK(grade_of(500ms + 1us) == ClockGrade::f);
  CHECK(state_of(3ms) == shotlog::ClockState{ClockGrade::a, 3ms});
  CHECK(state_of(501ms) == shotlog::ClockState{});
}

TEST_CASE("a bound ages by 15 ppm") {
  CHECK(aged(5ms, 1h) == 5ms + 54ms);
  CHECK(aged(5ms, -1h) == 5ms);
}

TEST_CASE("one source's word is the verdict") {
  const auto verdict = judged({Reading{Source::chronyd, now, 1200us, 2ms}});
  CHECK(verdict.standing == Standing::vouched);
  CHECK(verdict.source == Source::chronyd);
  CHECK(verdict.error == 0us);
  CHECK(verdict.left == 1200us);
  CHECK(verdict.bound == 3200us);
  CHECK(verdict.words == "chronyd: 3.2 ms");
}

TEST_CASE("a pulse's error is taken off, not added to the bound") {
  const auto verdict = judged({Reading{Source::gps_pulse, now, -40s, 1200us}});
  CHECK(verdict.error == -40s);
  CHECK(verdict.left == 0us);
  CHECK(verdict.bound == 1200us);
  CHECK(verdict.words == "the GPS pulse: 1.2 ms");
}

TEST_CASE("an older word is worth less") {
  CHECK(judged({Reading{Source::person, now - 1h, 0us, 300ms}}).words == "the operator: 354 ms");
}

TEST_CASE("the better grade speaks, and among equals the better source") {
  const Reading chronyd{Source::chronyd, now, 0us, 10ms};
  const Reading pulse{Source::gps_pulse, now, 0us, 1ms};
  const Reading kernel{Source::kernel, now, 0us, 60ms};
  const Reading person{Source::person, now, 0us, 300ms};
  CHECK(judged({person, kernel, pulse, chronyd}).source == Source::chronyd);
  CHECK(judged({person, kernel, pulse}).source == Source::gps_pulse);
  CHECK(judged({person, kernel}).source == Source::kernel);
  const Reading coarse_chronyd{Source::chronyd, now, 0us, 21ms};
  CHECK(judged({coarse_chronyd, pulse}).source == Source::gps_pulse);
}

TEST_CASE("when nobody vouches the reasons are told") {
  const auto verdict =
      judged({NotHeard{"chronyd does not run"}, NotHeard{""}, NotHeard{"the GPS receiver has no fix"}});
  CHECK(verdict.standing == Standing::unknown);
  CHECK(verdict.words == "nobody vouches for the clock: chronyd does not run, the GPS receiver has no fix");
  CHECK(judged({}).words == "nobody vouches for the clock");
}

TEST_CASE("sources that exclude each other vouch for nothing") {
  const Reading chronyd{Source::chronyd, now, 0us, 3ms};
  CHECK(judged({chronyd, Reading{Source::gps_pulse, now, 4ms, 1ms}}).standing == Standing::vouched);
  const auto verdict = judged({chronyd, Reading{Source::gps_pulse, now, 1s, 1ms}});
  CHECK(verdict.standing == Standing::bad);
  CHECK(verdict.words == "chronyd and the GPS pulse contradict each other by 1.000 s");
}

TEST_CASE("a slow receiver's serial data contradict nobody, a wrong second does") {
  const Reading chronyd{Source::chronyd, now, 0us, 3ms};
  // 700 ms late, the slowest gpsd_json(5) names, less the half of half a second taken for granted
  CHECK(judged({chronyd, Reading{Source::gps_serial, now, 450ms, 250ms}}).standing == Standing::vouched);
  CHECK(judged({chronyd, Reading{Source::gps_serial, now, 1s, 250ms}}).standing == Standing::bad);
}

TEST_CASE("a second is an instrument of another origin: who doesn't tell its origin is none") {
  const Reading servers{Source::chronyd, now, 0ms, 3ms, Origin::network};
  const Reading own_receiver{Source::chronyd, now, 0ms, 3ms, Origin::receiver};
  const Reading pulse{Source::gps_pulse, now, 1ms, 1ms, Origin::receiver};
  const Reading kernel{Source::kernel, now, 0ms, 60ms, Origin::unknown};
  const Reading person{Source::person, now, 0ms, 300ms, Origin::unknown};
  CHECK(judged({servers, pulse}).seconded);
  CHECK_FALSE(judged({own_receiver, pulse}).seconded);
  CHECK_FALSE(judged({servers}).seconded);
  CHECK_FALSE(judged({kernel, pulse}).seconded);
  CHECK_FALSE(judged({servers, person}).seconded);
}

TEST_CASE("a person's word yields to instruments") {
  const Reading person{Source::person, now, 0us, 300ms};
  const auto verdict = judged({Reading{Source::gps_pulse, now, 2s, 1ms}, person});
  CHECK(verdict.source == Source::gps_pulse);
  CHECK(verdict.error == 2s);
}

TEST_CASE("too coarse a word is none, an error beyond doubt is a bad clock") {
  const auto coarse = judged({Reading{Source::chronyd, now, 3ms, 2s}});
  CHECK(coarse.standing == Standing::unknown);
  CHECK(coarse.words == "nobody knows the clock better than chronyd: 2.003 s");
  const auto wrong = judged({Reading{Source::chronyd, now, 3s, 2ms}});
  CHECK(wrong.standing == Standing::bad);
  CHECK(wrong.words == "the clock is wrong, says chronyd: 3.002 s");
  CHECK(wrong.source == Source::chronyd);
  CHECK(wrong.left == 3s);
  CHECK(wrong.bound == 3002ms);
}

TEST_CASE("dates no right clock shows are bad whoever vouches") {
  const Reading chronyd{Source::chronyd, now, 0us, 3ms};
  CHECK(judged({chronyd}, sanity.built - 1us).words ==
        "the clock says 2027-04-24, before this program was built");
  CHECK(judged({chronyd}, *sanity.eclipse - 36h).standing == Standing::vouched);
  CHECK(judged({chronyd}, *sanity.eclipse - 36h - 1us).words ==
        "the clock says 2027-07-31, more than 36 h from the eclipse");
  CHECK(judged({chronyd}, *sanity.eclipse + 36h + 1us).standing == Standing::bad);
  CHECK(judged({}, sanity.built - 1us).words == "the clock says 2027-04-24, before this program was built");
}

TEST_CASE("who finds an impossible date wrong by as much as it is says what it measured") {
  const Reading chronyd{Source::chronyd, now, 72h, 3ms};
  const auto verdict = judged({chronyd}, *sanity.eclipse + 72h);
  CHECK(verdict.standing == Standing::bad);
  CHECK(verdict.source == Source::chronyd);
  CHECK(verdict.left == 72h);
  CHECK_FALSE(judged({Reading{Source::chronyd, now, 0us, 3ms}}, *sanity.eclipse + 72h).source);
}

TEST_CASE("a machine without a clock of its own is right once a pulse corrects it") {
  const Reading pulse{Source::gps_pulse, now, Utc{0s} - noon, 1ms};
  CHECK(judged({pulse}, Utc{0s}).standing == Standing::vouched);
}

}  // namespace noonfall::clock
