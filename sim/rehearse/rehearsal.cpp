#include "sim/rehearse/rehearsal.h"

#include <algorithm>
#include <stdexcept>

#include "lib/ports/clock.h"
#include "lib/ports/journal.h"
#include "lib/ports/voice.h"
#include "lib/rig/rig.h"
#include "lib/shotlog/codec.h"

namespace noonfall::sim {
namespace {

using namespace std::chrono_literals;

/// A rig and its body, as one worker will hold them.
struct Station {
  rig::Rig rig;
  SimulatedBody body;
  std::optional<Utc> wake;
  std::optional<rig::DeviceAnswer> answer;  // on its way
  std::vector<rig::Input> inbox;

  [[nodiscard]] Utc next() const {
    auto when = wake.value_or(Utc::max());
    if (answer) when = std::min(when, answer->at);
    return when;
  }
};

/// Virtual time, beyond doubt.
class VirtualClock final : public ports::Clock {
 public:
  [[nodiscard]] Utc now() const override { return now_; }
  [[nodiscard]] shotlog::ClockState state() const override { return {shotlog::ClockGrade::a, Duration{0}}; }
  void jump_to(Utc when) { now_ = when; }

 private:
  Utc now_ = Utc::min();
};

/// Keeps what the day would write and say.
class Recorder final : public ports::Journal, public ports::Voice {
 public:
  explicit Recorder(Rehearsed& into) : into_{into} {}
  void append(const shotlog::Line& line) override {
    into_.log += shotlog::encode(line);
    into_.lines.push_back(line);
  }
  void speak(const run::Words& words) override { into_.words.push_back(words); }

 private:
  Rehearsed& into_;
};

class Rehearsal {
 public:
  explicit Rehearsal(const RehearsalSetup& setup)
      : setup_{setup}, run_{setup.timeline, facts(setup), clock_.state()} {
    for (std::size_t n = 0; n < setup.timeline.lanes.size(); ++n) {
      const auto& lane = setup.timeline.lanes[n];
      auto faults = n < setup.faults.size() ? setup.faults[n] : std::vector<Fault>{};
      stations_.push_back(
          {rig::Rig{static_cast<std::int32_t>(n), lane.profile},
           SimulatedBody{{lane.profile, lane.files, setup.seed, setup.detune, std::move(faults)}},
           {},
           {},
           {}});
    }
    wakes_ = setup.extra_wakes;
    for (const auto& [at, command] : setup.commands) wakes_.push_back(at);
    std::sort(wakes_.begin(), wakes_.end());
  }

  Rehearsed run() {
    clock_.jump_to(setup_.start.value_or(start_of(setup_.timeline)));
    core_wake_ = clock_.now();
    while (!finished_) {
      settle(clock_.now());
      const auto next = next_event(clock_.now());
      if (finished_ || next == Utc::max()) break;
      clock_.jump_to(next);
    }
    out_.ended = clock_.now();
    for (auto& station : stations_) out_.taken.push_back(station.body.taken());
    return std::move(out_);
  }

 private:
  static run::Facts facts(const RehearsalSetup& setup) {
    auto facts = setup.facts;
    facts.seed = setup.seed;
    return facts;
  }

  static Utc start_of(const timeline::Timeline& timeline) {
    auto first = Utc::max();
    for (const auto& cue : timeline.cues) first = std::min(first, cue.ends);
    for (const auto& lane : timeline.lanes) {
      for (const auto& step : lane.steps) first = std::min(first, step.from);
    }
    return first == Utc::max() ? Utc{} : first - 1min;
  }

  [[nodiscard]] Utc next_event(Utc now) const {
    auto next = core_wake_.value_or(Utc::max());
    for (const auto& station : stations_) next = std::min(next, station.next());
    const auto extra = std::upper_bound(wakes_.begin(), wakes_.end(), now);
    return extra == wakes_.end() ? next : std::min(next, *extra);
  }

  /// Lets everything that happens at this instant happen, until all are waiting for a later one.
  void settle(Utc now) {
    bool core_due = true;
    for (int rounds = 0; core_due; ++rounds) {
      if (rounds > 10'000) throw std::logic_error{"the rehearsal doesn't get past an instant"};
      std::vector<run::Input> inputs;
      if (rounds == 0) {
        for (const auto& [at, command] : setup_.commands) {
          if (at == now) inputs.emplace_back(command);
        }
      }
      for (auto& station : stations_) step_rig(station, now, inputs);
      const bool extra = rounds == 0 && std::binary_search(wakes_.begin(), wakes_.end(), now);
      core_due = !inputs.empty() || extra || (core_wake_ && *core_wake_ <= now);
      if (core_due) step_core(now, inputs);
    }
  }

  static void step_rig(Station& station, Utc now, std::vector<run::Input>& reports) {
    for (bool due = !station.inbox.empty() || station.next() <= now; due; due = station.next() <= now) {
      if (station.answer && station.answer->at <= now) {
        station.inbox.emplace_back(*station.answer);
        station.answer.reset();
      }
      auto out = station.rig.step(now, station.inbox);
      station.inbox.clear();
      station.wake = out.wake;
      for (auto& report : out.reports) reports.emplace_back(std::move(report));
      if (out.call) station.answer = station.body.answer(*out.call, now);
    }
  }

  void step_core(Utc now, const std::vector<run::Input>& inputs) {
    auto out = run_.step(now, inputs);
    core_wake_ = out.wake;
    finished_ = out.finished;
    for (const auto& line : out.lines) recorder_.append(line);
    for (const auto& words : out.words) recorder_.speak(words);
    for (auto& to : out.to_rigs)
      stations_[static_cast<std::size_t>(to.rig)].inbox.emplace_back(std::move(to.message));
  }

  const RehearsalSetup& setup_;
  VirtualClock clock_;
  run::Run run_;
  std::vector<Station> stations_;
  std::vector<Utc> wakes_;
  std::optional<Utc> core_wake_;
  bool finished_ = false;
  Rehearsed out_;
  Recorder recorder_{out_};
};

}  // namespace

Rehearsed rehearse(const RehearsalSetup& setup) {
  return Rehearsal{setup}.run();
}

}  // namespace noonfall::sim
