// The whole watch against a chronyd and a gpsd of ours, on a machine whose clocks the test sets.
#include "daemon/clock/clock_watch.h"

#include <sys/timex.h>

#include <doctest/doctest.h>

#include <cstdlib>

#include <fmt/format.h>

#include "lib/time/utc_text.h"
#include "tests/program/clock/fakes.h"
#include "tests/unit/clock/machine.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;
using shotlog::ClockGrade;
using tests::FakeChronyd;
using tests::FakeGpsd;
using tests::Machine;
using tests::noon;
using tests::runs_until;

/// gpsd's comparison of the receiver's second with the system clock, which shows `system`.
std::string offset_report(const char* kind, Utc system, Duration error) {
  const auto parts = [](Utc when) {
    const auto second = std::chrono::floor<std::chrono::seconds>(when);
    return std::pair{second.time_since_epoch().count(), std::chrono::nanoseconds{when - second}.count()};
  };
  const auto [real_s, real_ns] = parts(system - error);
  const auto [clock_s, clock_ns] = parts(system);
  return fmt::format(
      "{{\"class\":\"{}\",\"device\":\"/dev/"
      "ttyS0\",\"real_sec\":{},\"real_nsec\":{},\"clock_sec\":{},\"clock_nsec\":{},"
      "\"precision\":-20}}\n",
      kind, real_s, real_ns, clock_s, clock_ns);
}

struct Watched {
  boost::asio::io_context io;
  Machine machine;
  FakeChronyd chronyd{io, [this](std::uint32_t sequence) { return answer(sequence); }};
  FakeGpsd gpsd{io};
  bool chronyd_speaks = false;
  Utc measured = noon - 5s;
  std::string told;
  ClockMapping told_mapping;
  std::optional<ClockWatch> watch;

  void start(std::optional<CriticalSpan> critical = {}) {
    ClockWatchSettings settings;
    settings.clock.sanity = {noon - std::chrono::days{100}, noon + 1h};
    settings.clock.critical = critical;
    settings.chrony = {chronyd.port(), 2ms, 1h};
    settings.gpsd = {gpsd.port(), 1ms};
    settings.look_every = 1ms;
    settings.read_clocks = [this] { return machine.now(); };
    settings.read_kernel = [] { return KernelClock{TIME_ERROR, STA_UNSYNC, 16s}; };
    watch.emplace(io, std::move(settings),
                  [this](const run::ClockChange& change, const ClockMapping& mapping) {
                    told += std::string{shotlog::to_text(change.state.grade)} + ": " + change.why + "\n";
                    told_mapping = mapping;
                  });
    watch->start();
  }
  /// Lets everything that is on its way come in.
  void settle() {
    const auto asked = chronyd.asked();
    REQUIRE(runs_until(io, [&] { return chronyd.asked() >= asked + 4 && gpsd.all_sent(); }));
  }
  void second(std::optional<Duration> gps_error = {}, int mode = 3) {
    machine.pass(1s);
    if (gps_error) {
      const auto real = machine.now().realtime - *gps_error;
      gpsd.send(fmt::format("{{\"class\":\"TPV\",\"mode\":{},\"time\":\"{}\"}}\n", mode, to_text(real)) +
                offset_report("TOFF", machine.now().realtime, *gps_error + 100ms) +
                offset_report("PPS", machine.now().realtime, *gps_error));
    }
    settle();
  }
  void begin_gpsd() {
    REQUIRE(runs_until(io, [&] { return gpsd.connections() > 0; }));
    gpsd.send(tests::introduction);
    settle();
  }
  Duration ahead() { return watch->now() - machine.now().realtime; }

 private:
  FakeChronyd::Datagrams answer(std::uint32_t sequence) const {
    tests::Answer answer;
    answer.sequence = sequence;
    answer.reference_time = measured;
    answer.root_dispersion_s = 0.002;  // and 1 ms of half the delay
    if (!chronyd_speaks) answer.leap = 3;
    return {tests::bytes_of(answer)};
  }
};

/// As the status view puts them together: "A, chronyd: 3.2 ms".
std::string words_of(const ClockWatch& watch) {
  return std::string{shotlog::to_text(watch.state().grade)} + ", " + watch.source_words();
}

}  // namespace

TEST_CASE("the watch begins at grade F and comes to chronyd's") {
  Watched watched;
  watched.start();
  CHECK(watched.watch->state() == shotlog::ClockState{});
  CHECK(watched.watch->now() == noon);
  watched.chronyd_speaks = true;
  watched.settle();
  CHECK(watched.told == "A: chronyd: 3.0 ms\n");
  CHECK(watched.watch->state().grade == ClockGrade::a);
  CHECK(words_of(*watched.watch) == "A, chronyd: 3.0 ms");
  CHECK(watched.told_mapping == watched.watch->mapping());
}

TEST_CASE(
    "steps are told and not taken, until chronyd has vouched for 30 s: of an hour, until a person has, too") {
  for (const Duration step : {1s, -1s}) {
    for (const int hours : {1, 3600}) {
      Watched watched;
      watched.start();
      watched.chronyd_speaks = true;
      watched.second();
      watched.told.clear();
      watched.machine.step(step * hours);
      for (int i = 0; i < 40; ++i) watched.second();
      CHECK(watched.told.find("not taken until somebody vouches for it") != std::string::npos);
      CHECK(watched.ahead() == -step * hours);
      watched.measured = watched.machine.now().realtime;
      for (int i = 0; i < 29; ++i) watched.second();
      CHECK(watched.watch->mapping().utc_at(watched.machine.now().boot) ==
            watched.machine.now().realtime - step * hours);
      watched.second();
      watched.second();
      if (hours > 1) {  // too far for one witness alone
        CHECK(watched.ahead() == -step * hours);
        CHECK(watched.told.find("says chronyd alone") != std::string::npos);
        CHECK(watched.watch->operator_says_ok().empty());
      }
      CHECK(watched.watch->mapping().utc_at(watched.machine.now().boot) == watched.machine.now().realtime);
      if (hours == 1) CHECK(watched.told.ends_with("; chronyd: 3.0 ms\n"));
    }
  }
}

TEST_CASE("inside totality nothing is taken, after it everything that holds") {
  Watched watched;
  watched.start(critical_span(noon + 70s, noon + 100s));
  watched.chronyd_speaks = true;
  for (int i = 0; i < 20; ++i) watched.second();
  watched.machine.step(1s);
  watched.settle();
  watched.measured = watched.machine.now().realtime;
  for (int i = 0; i < 140; ++i) watched.second();
  CHECK(watched.ahead() == -1s);
  watched.second();
  CHECK(watched.ahead() == 0s);
  CHECK(watched.told.find("was set 1.000 s forward; not taken between C2 - 60 s and C3 + 60 s") !=
        std::string::npos);
}

TEST_CASE("gpsd's pulse puts the plan's clock right, and a lost fix leaves it held over") {
  Watched watched;
  watched.start();
  watched.begin_gpsd();
  for (int i = 0; i < 92; ++i) watched.second(-2s);
  CHECK(watched.ahead() == 2s);
  CHECK(words_of(*watched.watch) == "A, the GPS pulse: 1.0 ms");
  watched.second(-2s, 1);
  watched.second(-2s, 1);
  CHECK(words_of(*watched.watch) ==
        "A, the GPS pulse: 1.0 ms, held over for 1.000 s; nobody vouches for the clock: chronyd is not "
        "synchronised, "
        "the GPS receiver has no fix; the system clock is 2.000 s behind the plan's");
}

TEST_CASE("a receiver of 1980, or one without leap seconds, is not believed") {
  for (const Duration error : {Duration{noon - Utc{315'964'800s}}, Duration{-18s}}) {
    Watched watched;
    watched.start();
    watched.begin_gpsd();
    for (int i = 0; i < 100; ++i) watched.second(error);
    CHECK(watched.ahead() == 0s);
    CHECK(watched.told == "");
  }
}

TEST_CASE("gpsd that goes silent or away leaves the clock held over, and is found again") {
  Watched watched;
  watched.start();
  watched.begin_gpsd();
  for (int i = 0; i < 62; ++i) watched.second(0s);
  CHECK(words_of(*watched.watch) == "A, the GPS pulse: 1.0 ms");
  for (int i = 0; i < 6; ++i) watched.second();
  CHECK(words_of(*watched.watch)
            .find("held over for 1.000 s; nobody vouches for the clock: chronyd is not "
                  "synchronised, the GPS receiver is silent") != std::string::npos);
  watched.gpsd.hang_up();
  REQUIRE(runs_until(watched.io, [&] { return watched.gpsd.connections() == 2; }));
  watched.gpsd.send(tests::introduction);
  for (int i = 0; i < 62; ++i) watched.second(0s);
  CHECK(words_of(*watched.watch) == "A, the GPS pulse: 1.0 ms");
}

TEST_CASE("the operator's word is told at once") {
  Watched watched;
  watched.start();
  watched.settle();
  CHECK(watched.watch->operator_says_ok() == "");
  CHECK(watched.told == "C: the operator vouches for the clock; the operator: 300 ms\n");
  CHECK(watched.watch->state() == shotlog::ClockState{ClockGrade::c, 300ms});
}

TEST_CASE("the operator is told why a jump inside totality is not taken") {
  Watched watched;
  watched.start(critical_span(noon + 70s, noon + 100s));
  watched.chronyd_speaks = true;
  for (int i = 0; i < 20; ++i) watched.second();
  watched.machine.step(1h);
  CHECK(watched.watch->operator_says_ok() ==
        "the plan's clock would jump 1 h forward between C2 - 60 s and C3 + 60 s");
  CHECK(watched.ahead() == -1h);
}

TEST_CASE("a simulated clock asks nobody") {
  boost::asio::io_context io;
  ClockWatchSettings settings;
  Machine machine;
  settings.clock.simulated = ClockMapping{machine.now().boot, noon, 60};
  settings.read_clocks = [&] { return machine.now(); };
  ClockWatch watch{io, std::move(settings),
                   [](const run::ClockChange&, const ClockMapping&) { FAIL("told"); }};
  watch.start();
  CHECK(io.run() == 0);
  machine.pass(1s);
  CHECK(watch.now() == noon + 60s);
  CHECK(words_of(watch) == "A, a simulated clock at 60 x");
}

}  // namespace noonfall::clock
