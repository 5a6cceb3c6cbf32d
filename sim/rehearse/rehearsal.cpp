#include "sim/rehearse/rehearsal.h"

#include <algorithm>
#include <stdexcept>
#include <utility>

#include "lib/rig/rig.h"
#include "lib/shotlog/codec.h"

namespace noonfall::sim {
namespace {

using namespace std::chrono_literals;

/// A rig and its body, as one worker will hold them.
struct Station {
  rig::Rig rig;
  SimulatedBody body;
  std::optional<Utc> wake = {};
  std::optional<rig::DeviceAnswer> answer = {};  // on its way
  std::vector<rig::Input> inbox = {};
  bool manned = true;                      // there is a worker
  std::vector<order::ToRig> waiting = {};  // for one

  [[nodiscard]] Utc next() const {
    auto when = wake.value_or(Utc::max());
    if (answer) when = std::min(when, answer->at);
    return when;
  }
};

class Rehearsal {
 public:
  explicit Rehearsal(const RehearsalSetup& setup) : setup_{setup} {
    run_.emplace(setup.timeline, facts(setup), beyond_doubt);
    for (std::size_t n = 0; n < setup.timeline.rigs.size(); ++n) {
      const auto& rig = setup.timeline.rigs[n];
      auto faults = n < setup.faults.size() ? setup.faults[n] : std::vector<Fault>{};
      stations_.push_back(
          {rig::Rig{static_cast<std::int32_t>(n), rig.profile},
           SimulatedBody{{rig.profile, rig.files, setup.seed, setup.detune, std::move(faults)}}});
    }
    wakes_ = setup.extra_wakes;
    for (const auto& [at, command] : setup.commands) wakes_.push_back(at);
    for (const auto& outage : setup.outages) {
      wakes_.push_back(outage.from);
      wakes_.push_back(outage.from + outage.lasts);
    }
    std::sort(wakes_.begin(), wakes_.end());
  }

  Rehearsed run() {
    now_ = setup_.start.value_or(start_of(setup_.timeline));
    core_wake_ = now_;
    while (!finished_) {
      settle(now_);
      const auto next = after_jump(now_, next_event(now_));
      if (finished_ || next == Utc::max()) break;
      now_ = next;
    }
    out_.ended = now_;
    for (auto& station : stations_) out_.taken.push_back(station.body.taken());
    return std::move(out_);
  }

 private:
  static run::Facts facts(const RehearsalSetup& setup) {
    auto facts = setup.facts;
    facts.seed = setup.seed;
    facts.voice = true;
    return facts;
  }

  static Utc start_of(const timeline::Timeline& timeline) {
    auto first = Utc::max();
    for (const auto& cue : timeline.cues) first = std::min(first, cue.ends);
    for (const auto& rig : timeline.rigs) {
      for (const auto& step : rig.steps) first = std::min(first, step.from);
    }
    return first == Utc::max() ? Utc{} : first - 1min;
  }

  [[nodiscard]] Utc next_event(Utc now) const {
    auto next = core_wake_.value_or(Utc::max());
    for (const auto& station : stations_) next = std::min(next, station.next());
    const auto extra = std::upper_bound(wakes_.begin(), wakes_.end(), now);
    return extra == wakes_.end() ? next : std::min(next, *extra);
  }

  [[nodiscard]] Utc after_jump(Utc now, Utc next) const {
    for (const auto& [at, by] : setup_.jumps) {
      if (at > now && at <= next) return at + by;
    }
    return next;
  }

  /// Lets everything that happens at this instant happen, until all are waiting for a later one.
  void settle(Utc now) {
    for (const auto& outage : setup_.outages) {
      if (outage.from == now) begin(outage, now);
    }
    bool core_due = true;
    for (int rounds = 0; core_due; ++rounds) {
      if (rounds > 10'000) throw std::logic_error{"the rehearsal doesn't get past an instant"};
      if (rounds == 0) {
        for (const auto& [at, command] : setup_.commands) {
          if (at == now) inputs_.emplace_back(run::Request{command});
        }
      }
      for (auto& station : stations_) step_rig(station, now, inputs_);
      if (rounds == 0) {
        for (const auto& outage : setup_.outages) {
          if (outage.from + outage.lasts == now) end(outage, now);
        }
      }
      if (!run_) return;  // reports wait for another core
      const bool extra = rounds == 0 && std::binary_search(wakes_.begin(), wakes_.end(), now);
      core_due = !inputs_.empty() || extra || (core_wake_ && *core_wake_ <= now);
      if (core_due) step_core(now);
    }
  }

  void begin(const Outage& outage, Utc now) {
    if (outage.worker) {
      auto& station = stations_[*outage.worker];
      const auto index = static_cast<std::int32_t>(*outage.worker);
      station.rig = rig::Rig{index, setup_.timeline.rigs[*outage.worker].profile};
      station.answer.reset();
      station.wake.reset();
      station.inbox.clear();
      station.manned = false;
      inputs_.emplace_back(order::RigState{index, false, now, "the worker was killed"});
      return;
    }
    if (outage.before_sending) {
      const auto out = run_->step(now, inputs_);
      inputs_.clear();
      keep(out.lines);
    }
    run_.reset();
    core_wake_.reset();
  }

  void end(const Outage& outage, Utc now) {
    if (outage.worker) {
      auto& station = stations_[*outage.worker];
      const auto index = static_cast<std::int32_t>(*outage.worker);
      station.manned = true;
      run::Attached attached{index, {}};
      for (auto& message : std::exchange(station.waiting, {})) {
        if (const auto* order = std::get_if<order::Order>(&message)) attached.held.push_back({order->id, {}});
        station.inbox.emplace_back(std::move(message));
      }
      inputs_.emplace_back(std::move(attached));
      inputs_.emplace_back(order::RigState{index, true, now, {}});
      return;
    }
    if (out_.lines.empty()) {
      run_.emplace(setup_.timeline, facts(setup_), beyond_doubt);
    } else {
      run_.emplace(setup_.timeline, facts(setup_), beyond_doubt, shotlog::account_of(out_.lines));
      for (std::size_t n = 0; n < stations_.size(); ++n) {
        if (stations_[n].manned)
          inputs_.emplace_back(run::Attached{static_cast<std::int32_t>(n), stations_[n].rig.held()});
      }
    }
    core_wake_ = now;
  }

  static void step_rig(Station& station, Utc now, std::vector<run::Input>& reports) {
    if (!station.manned) return;
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

  void step_core(Utc now) {
    auto out = run_->step(now, std::exchange(inputs_, {}));
    core_wake_ = out.wake;
    finished_ = out.finished;
    keep(out.lines);
    out_.words.insert(out_.words.end(), out.announcements.begin(), out.announcements.end());
    for (auto& to : out.to_rigs) {
      auto& station = stations_[static_cast<std::size_t>(to.rig)];
      if (station.manned) {
        station.inbox.emplace_back(std::move(to.message));
      } else {
        station.waiting.push_back(std::move(to.message));
      }
    }
  }

  /// What the day would write.
  void keep(const std::vector<shotlog::Line>& lines) {
    for (const auto& line : lines) {
      if (setup_.encodes_log) out_.log += shotlog::encode(line);
      out_.lines.push_back(line);
    }
  }

  static constexpr shotlog::ClockState beyond_doubt{shotlog::ClockGrade::a, Duration{0}};

  const RehearsalSetup& setup_;
  Utc now_;
  std::optional<run::Run> run_;     // none: it was killed
  std::vector<run::Input> inputs_;  // for its next step
  std::vector<Station> stations_;
  std::vector<Utc> wakes_;
  std::optional<Utc> core_wake_;
  bool finished_ = false;
  Rehearsed out_;
};

}  // namespace

Rehearsed rehearse(const RehearsalSetup& setup) {
  return Rehearsal{setup}.run();
}

}  // namespace noonfall::sim
