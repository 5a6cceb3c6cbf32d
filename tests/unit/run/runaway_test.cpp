// Whatever a body answers, and however fast: orders and lines a second are bounded. A body that refused every
// frame at once made 48,628 orders and 32 MB of log in 2.9 s (run on a simulated body).
#include <map>
#include <random>
#include <vector>

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "lib/rig/rig.h"
#include "tests/unit/run/fixture.h"

using namespace noonfall;
using namespace noonfall::run;
using rig::Answer;

namespace {

enum class Habit { takes_at_once, takes_untold, refuses, says_nothing, goes_and_comes, any_of_them };
constexpr int habits = 6;

struct Counted {
  std::int64_t orders = 0;
  std::int64_t lines = 0;
  std::map<std::int64_t, int> lines_in_second;
  std::vector<std::string> faults;
  std::vector<std::string> skips;
  [[nodiscard]] int most_in_a_second() const {
    int most = 0;
    for (const auto& [second, count] : lines_in_second) most = std::max(most, count);
    return most;
  }
};

class Body {
 public:
  Body(Habit habit, unsigned seed) : habit_{habit}, luck_{seed} {}

  rig::DeviceAnswer answer(const rig::DeviceCall& call, Utc now) {
    rig::DeviceAnswer answer;
    answer.at = answer.released = now;
    if (const auto* settings = std::get_if<rig::SettingsCall>(&call)) {
      answer.exposure = settings->exposure;
      answer.drive = settings->drive;
    }
    const auto* release = std::get_if<rig::ReleaseCall>(&call);
    if (release == nullptr) return answer;
    const auto habit = habit_ == Habit::any_of_them ? static_cast<Habit>(luck_() % (habits - 1)) : habit_;
    if (habit == Habit::refuses) answer.answer = Answer::refused;
    if (habit == Habit::says_nothing) answer.answer = Answer::no_word;
    if (habit == Habit::goes_and_comes) answer.answer = Answer::gone;
    answer.why = "as it likes";
    for (std::size_t n = 0; answer.answer == Answer::ok && n < release->frames.size(); ++n)
      answer.frames.push_back({now + 60ms, now + 62ms, habit == Habit::takes_at_once, {}});
    return answer;
  }

 private:
  Habit habit_;
  std::mt19937 luck_;
};

/// A run, its rig and such a body, in a time that passes only when both wait for it.
Counted play(const timeline::Timeline& timeline, Habit habit, Duration until, unsigned seed = 1) {
  Run run{timeline, {shotlog::Mode::event, "hash", {}}, {}};
  rig::Rig rig{0, timeline.rigs.front().profile};
  Body body{habit, seed};
  Counted counted;
  auto now = at(90s);
  std::vector<Input> to_run;
  while (now < at(until)) {
    auto out = run.step(now, to_run);
    to_run.clear();
    counted.lines += static_cast<std::int64_t>(out.lines.size());
    counted.lines_in_second[(now - at(0s)) / 1s] += static_cast<int>(out.lines.size());
    for (const auto& line : out.lines) {
      if (const auto* fault = std::get_if<shotlog::BodyNews>(&line.entry))
        counted.faults.push_back(fault->why);
      if (const auto* skip = std::get_if<shotlog::Skip>(&line.entry)) counted.skips.push_back(why_of(*skip));
    }
    std::vector<rig::Input> to_rig;
    for (auto& sent : out.to_rigs) {
      counted.orders += std::holds_alternative<order::Order>(sent.message) ? 1 : 0;
      to_rig.emplace_back(std::move(sent.message));
    }
    std::optional<Utc> wake;
    for (;;) {
      auto did = rig.step(now, to_rig);
      to_rig.clear();
      for (auto& report : did.reports) to_run.emplace_back(std::move(report));
      wake = did.wake;
      if (!did.call) break;
      to_rig.emplace_back(body.answer(*did.call, now));
    }
    if (!to_run.empty()) continue;
    auto next = at(until);
    if (out.wake) next = std::min(next, *out.wake);
    if (wake) next = std::min(next, *wake);
    now = std::max(now + 1us, next);
  }
  return counted;
}

const timeline::Timeline& corona() {
  static const auto timeline = timeline_of({back_to_back("corona", 100s, 220s), targets("crescent", {230s})});
  return timeline;
}

}  // namespace

TEST_CASE("a body that refuses every frame is asked less and less, is told of, and loses the step") {
  const auto counted = play(corona(), Habit::refuses, 300s);
  CHECK(counted.orders <= 12);
  CHECK(counted.faults == std::vector<std::string>{
                              "the body refuses the frames of step corona one after the other: it is asked "
                              "again after pauses, and then no more"});
  CHECK(counted.skips == std::vector<std::string>{"the body refused it again and again"});
}

TEST_CASE("one that takes its frames as the profile says isn't held up") {
  // Sets of two frames, 500 ms apart (the fixture); a body at once ready takes them four times as fast.
  const auto counted = play(corona(), Habit::takes_at_once, 225s);
  CHECK(counted.orders >= 4 * 115);
  CHECK(counted.orders <= 4 * 121 + 2);
}

TEST_CASE("whatever a body does, lines and orders a second are bounded") {
  for (int habit = 0; habit < habits; ++habit) {
    CAPTURE(habit);
    const auto counted = play(corona(), static_cast<Habit>(habit), 300s);
    CHECK(counted.most_in_a_second() <= 60);
    CHECK(counted.orders <= 4 * 121 + 4);
  }
  CHECK(rc::check([] {
    const auto seed = *rc::gen::arbitrary<unsigned>();
    const auto counted = play(corona(), Habit::any_of_them, 240s, seed);
    RC_ASSERT(counted.most_in_a_second() <= 60);
  }));
}
