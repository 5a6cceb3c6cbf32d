// A whole run by the plan's clock, on a machine whose system clock is set again and again.
#include <sys/timex.h>

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <set>
#include <utility>

#include "daemon/clock/plan_clock.h"
#include "lib/rig/rig.h"
#include "sim/body/simulated_body.h"
#include "tests/unit/clock/machine.h"
#include "tests/unit/run/fixture.h"

namespace noonfall {
namespace {

using namespace std::chrono_literals;
using clock::tests::Machine;
using clock::tests::noon;
using shotlog::ClockGrade;

const clock::CriticalSpan critical = clock::critical_span(noon + 400s, noon + 520s);

/// One frame each 20 s; the critical span is from 340 to 580 s.
std::vector<Utc> due_times() {
  std::vector<Utc> due;
  for (auto at = noon + 100s; at < noon + 800s; at += 20s) due.push_back(at);
  return due;
}

timeline::Timeline one_each_20_s() {
  std::vector<Duration> spans;
  for (const auto due : due_times()) spans.push_back(due - run::at(0s));
  auto timeline = run::timeline_of({run::targets("all", spans)});
  auto& profile = timeline.rigs.front().profile;
  profile.choices = {{run::quick.shutter}, {*run::quick.aperture}, {run::quick.iso}};
  profile.battery_frames = 1000;
  profile.card = {64'000};
  return timeline;
}

/// The system clock, set at an instant of true time.
struct Setting {
  Utc at;
  std::optional<Duration> by;  // none: to the truth
};

struct Story {
  Duration off_at_first{};
  Utc chronyd_from = noon;  // honest, and it never sets the clock itself
  std::vector<Setting> settings;
};

Utc any_instant() {
  return noon + Duration{*rc::gen::inRange(0, 800'000'000)};
}

Story any_story() {
  Story story;
  story.off_at_first = *rc::gen::element<Duration>(0s, 0s, 1s, -1s, 1h, -1h);
  story.chronyd_from = *rc::gen::arbitrary<bool>() ? noon : any_instant();
  const int count = *rc::gen::inRange(1, 8);
  for (int i = 0; i < count; ++i) {
    const auto by = *rc::gen::element<Duration>(0s, 1s, -1s, 1h, -1h);
    story.settings.push_back({any_instant(), by == 0s ? std::nullopt : std::optional{by}});
  }
  std::sort(story.settings.begin(), story.settings.end(),
            [](const Setting& a, const Setting& b) { return a.at < b.at; });
  return story;
}

struct Opened {
  Utc opened;       // by true time
  Utc plan_opened;  // by the plan's clock
  shotlog::ClockState clock;
  std::int32_t set = 0;
};

/// The core, a rig and its body in virtual time; the body lives in the true time.
class Show {
 public:
  explicit Show(Story story) : story_{std::move(story)}, machine_{first_machine(story_)} {}

  std::vector<Opened> play() {
    step_core();
    while (!finished_ && machine_.truth() < noon + 5h) {
      machine_.pass(std::max(Duration{0}, next() - machine_.truth()));
      set_clock();
      watch();
      settle();
    }
    return opened_;
  }
  bool finished() const { return finished_; }

 private:
  static Machine first_machine(const Story& story) {
    Machine machine;
    machine.step(story.off_at_first);
    return machine;
  }
  Utc plan_now() { return clock_.now(machine_.now().boot); }
  Utc true_time(Utc plan_time) const {
    return machine_.truth() + (clock_.mapping().boot_at(plan_time) - machine_.now().boot);
  }
  Utc plan_time(Utc true_time) const {
    return clock_.mapping().utc_at(machine_.now().boot + (true_time - machine_.truth()));
  }

  Utc next() const {
    auto when = next_look_;
    if (set_ < story_.settings.size()) when = std::min(when, story_.settings[set_].at);
    if (core_wake_) when = std::min(when, true_time(*core_wake_));
    if (rig_wake_) when = std::min(when, true_time(*rig_wake_));
    if (answer_) when = std::min(when, answer_->at);
    return when;
  }

  void set_clock() {
    for (; set_ < story_.settings.size() && story_.settings[set_].at <= machine_.truth(); ++set_) {
      const auto error = machine_.now().realtime - machine_.truth();
      machine_.step(story_.settings[set_].by.value_or(-error));
      look();
    }
  }

  void watch() {
    if (machine_.truth() < next_look_) return;
    next_look_ += 1s;
    look();
    const auto second = (machine_.truth() - noon) / 1s;
    if (second % 16 == 0) measured_ = machine_.truth();
    if (second % 10 != 0 || machine_.truth() < story_.chronyd_from) return;
    clock::ChronyTracking tracking;
    tracking.stratum = 1;
    tracking.reference_time = measured_;
    tracking.correction_s = in_seconds(machine_.truth() - machine_.now().realtime);
    tracking.root_dispersion_s = 0.003;
    clock_.evidence().chrony(tracking, machine_.now());
    look();
  }

  void look() {
    if (auto change = clock_.look(machine_.now(), {TIME_ERROR, STA_UNSYNC, 16s}))
      inputs_.emplace_back(std::move(*change));
  }

  void settle() {
    for (int rounds = 0; step_rig() || core_due(); ++rounds) {
      RC_ASSERT(rounds < 1000);
      if (core_due()) step_core();
    }
  }

  bool core_due() { return !inputs_.empty() || (core_wake_ && *core_wake_ <= plan_now()); }

  void step_core() {
    auto out = core_.step(plan_now(), std::exchange(inputs_, {}));
    core_wake_ = out.wake;
    finished_ = out.finished;
    for (auto& to : out.to_rigs) inbox_.emplace_back(std::move(to.message));
  }

  bool step_rig() {
    const bool answered = answer_ && answer_->at <= machine_.truth();
    if (answered) inbox_.emplace_back(by_plan(*std::exchange(answer_, {})));
    if (inbox_.empty() && !(rig_wake_ && *rig_wake_ <= plan_now())) return false;
    auto out = rig_.step(plan_now(), std::exchange(inbox_, {}));
    rig_wake_ = out.wake;
    for (auto& report : out.reports) inputs_.emplace_back(std::move(report));
    if (out.call) make(*out.call);
    return true;
  }

  void make(const rig::DeviceCall& call) {
    const auto before = body_.taken().size();
    answer_ = body_.answer(call, machine_.truth());
    for (auto n = before; n < body_.taken().size(); ++n) {
      const auto& frame = body_.taken()[n];
      opened_.push_back(
          {frame.opened, plan_time(frame.opened), clock_.state(machine_.now().boot), frame.id.set});
    }
  }

  /// The body's word, as a host by the plan's clock dates it.
  rig::DeviceAnswer by_plan(rig::DeviceAnswer answer) {
    answer.at = plan_now();
    answer.released = plan_time(answer.released);
    for (auto& frame : answer.frames) {
      frame.opened = plan_time(frame.opened);
      frame.closed = plan_time(frame.closed);
    }
    return answer;
  }

  Story story_;
  Machine machine_;
  clock::PlanClock clock_{{{noon - std::chrono::days{100}, noon + 1h}, critical, {}, {}}, machine_.now()};
  timeline::Timeline timeline_ = one_each_20_s();
  run::Run core_{timeline_, {shotlog::Mode::event, "hash", {}}, clock_.state(machine_.now().boot)};
  rig::Rig rig_{0, timeline_.rigs.front().profile};
  sim::SimulatedBody body_{{.profile = timeline_.rigs.front().profile, .faults = {}}};
  std::vector<run::Input> inputs_;
  std::vector<rig::Input> inbox_;
  std::optional<Utc> core_wake_;
  std::optional<Utc> rig_wake_;
  std::optional<rig::DeviceAnswer> answer_;
  Utc next_look_ = noon;
  std::size_t set_ = 0;
  Utc measured_ = noon;
  bool finished_ = false;
  std::vector<Opened> opened_;
};

}  // namespace

TEST_CASE("however the system clock is set, no frame opens early, late or twice") {
  const auto due = due_times();
  const Duration patience = one_each_20_s().rigs.front().steps.front().patience;
  const bool held = rc::check("by true time, within the clock's stated bound", [&] {
    const auto story = any_story();
    Show show{story};
    const auto opened = show.play();
    RC_ASSERT(show.finished());
    std::set<std::int32_t> seen;
    int inside = 0;
    for (const auto& frame : opened) {
      RC_ASSERT(seen.insert(frame.set).second);
      const auto wanted = due[static_cast<std::size_t>(frame.set - 1)];
      RC_ASSERT(frame.plan_opened >= wanted);
      RC_ASSERT(frame.plan_opened <= wanted + patience);
      if (frame.clock.grade == ClockGrade::f) continue;
      RC_ASSERT(frame.opened >= wanted - frame.clock.bound);
      RC_ASSERT(frame.opened <= wanted + patience + frame.clock.bound);
      inside += frame.opened >= critical.from && frame.opened <= critical.until ? 1 : 0;
    }
    RC_CLASSIFY(inside > 0, "graded frames inside the span");
    RC_CLASSIFY(opened.size() < due.size(), "missed frames");
  });
  CHECK(held);
}

TEST_CASE("a clock that chronyd vouched for at first loses no frame, however the system clock is set") {
  const auto due = due_times();
  const bool held = rc::check("all frames, each once, at grade A", [&] {
    auto story = any_story();
    story.off_at_first = 0s;
    story.chronyd_from = noon;
    for (auto& setting : story.settings) setting.at = std::max(setting.at, noon + 30s);
    Show show{story};
    const auto opened = show.play();
    RC_ASSERT(opened.size() == due.size());
    for (const auto& frame : opened) {
      const auto wanted = due[static_cast<std::size_t>(frame.set - 1)];
      RC_ASSERT(frame.clock.grade == ClockGrade::a);
      RC_ASSERT(frame.opened >= wanted);
      RC_ASSERT(frame.opened <= wanted + 200ms);
    }
  });
  CHECK(held);
}

}  // namespace noonfall
