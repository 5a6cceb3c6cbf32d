#include "tests/explore/world.h"

#include <algorithm>
#include <map>
#include <optional>
#include <utility>

#include "lib/body/model.h"
#include "lib/rig/rig.h"
#include "lib/run/run.h"
#include "lib/shotlog/account.h"
#include "lib/shotlog/checksum.h"
#include "lib/shotlog/codec.h"

namespace noonfall::explore {
namespace {

using namespace std::chrono_literals;
using rig::Answer;
using rig::DeviceAnswer;

constexpr shotlog::ClockState beyond_doubt{shotlog::ClockGrade::a, Duration{0}};
constexpr Duration longest_run = 10min;
constexpr int most_rounds = 1'000;  // of one instant
constexpr Duration core_away = 700ms;
constexpr Duration worker_away = 1s;
constexpr Duration at_once = 1ms;
constexpr Duration deadline = 3s;  // of a call without an answer

DeviceAnswer answer(Answer what, Utc at) {
  DeviceAnswer out;
  out.answer = what;
  out.at = at;
  if (what != Answer::ok) out.why = to_text(what);
  return out;
}

/// Its shutter opens within its lag or not at all, and what it tells of its settings is true. Else it does
/// anything, whatever it answers.
class Body {
 public:
  explicit Body(body::ReleaseLag lag) : lag_{lag} {}

  /// Pictures really taken go into `taken`.
  DeviceAnswer reply(const rig::DeviceCall& call, Utc now, Choices& choices,
                     std::vector<rig::TakenFrame>& taken) {
    if (const auto* reopen = std::get_if<rig::ReopenCall>(&call)) return reply(*reopen, now, choices);
    if (!there_) return gone(now);
    if (const auto* settings = std::get_if<rig::SettingsCall>(&call)) return reply(*settings, now, choices);
    if (std::holds_alternative<rig::ReleaseCall>(call)) return release(now, choices, taken);
    return drain(now, choices);
  }
  [[nodiscard]] const exposure::Exposure& set_to() const { return set_; }

 private:
  DeviceAnswer gone(Utc now) {
    there_ = false;
    return answer(Answer::gone, now + 100ms);
  }

  DeviceAnswer reply(const rig::SettingsCall& call, Utc now, Choices& choices) {
    enum { done, off_m, refused, refused_silently, busy, set_without_word, without_word, went, ways };
    const auto way = choices.choose(ways);
    auto out = answer(Answer::ok, now + at_once);
    if (way == refused || way == refused_silently) out = answer(Answer::refused, now + at_once);
    if (way == busy) out = answer(Answer::busy, now + at_once);
    if (way == set_without_word || way == without_word) out = answer(Answer::no_word, now + deadline);
    if (way == went) return gone(now);
    if (way == done || way == set_without_word) set_ = call.exposure;
    if (way == off_m) set_ = {exposure::Shutter{2, 1}, call.exposure.aperture, call.exposure.iso};
    if (way == refused_silently) set_.shutter = exposure::Shutter{4, 1};
    if (way == done || way == off_m || way == refused) out.exposure = set_;
    return out;
  }

  DeviceAnswer release(Utc now, Choices& choices, std::vector<rig::TakenFrame>& taken) {
    enum {
      takes,
      refused,
      busy,
      without_word,
      went_before,
      takes_nothing,
      takes_without_word,
      takes_unconfirmed,
      went_after,
      takes_late,
      ways
    };
    const auto way = choices.choose(ways);
    auto out = answer(Answer::ok, now + at_once);
    if (way == takes || way >= takes_without_word) {
      const auto opened = now + lag_.typical + (way == takes_late ? lag_.jitter : Duration{0});
      taken.push_back({opened, opened + body::open_time(set_.shutter), way != takes_unconfirmed, {}});
      out.at = taken.back().closed + 300ms;
      out.frames = taken;
    }
    if (way == refused) out = answer(Answer::refused, now + at_once);
    if (way == busy) out = answer(Answer::busy, now + at_once);
    if (way == without_word || way == takes_without_word) out = answer(Answer::no_word, now + deadline);
    if (way == went_before || way == went_after) out = gone(now);
    out.released = now;
    return out;
  }

  DeviceAnswer drain(Utc now, Choices& choices) {
    switch (choices.choose(3)) {
      case 0:
        return answer(Answer::ok, now + at_once);
      case 1:
        return answer(Answer::no_word, now + deadline);
      default:
        return gone(now);
    }
  }

  /// As when powered on.
  DeviceAnswer reply(const rig::ReopenCall& /*call*/, Utc now, Choices& choices) {
    there_ = choices.choose(2) == 0;
    set_ = {};
    return answer(there_ ? Answer::ok : Answer::gone, now + 500ms);
  }

  body::ReleaseLag lag_;
  bool there_ = true;
  exposure::Exposure set_;
};

class World {
 public:
  World(const timeline::Timeline& timeline, Utc starts, Choices& choices)
      : timeline_{timeline},
        choices_{choices},
        starts_{starts},
        now_{starts},
        body_{plan().profile.release},
        rig_{0, plan().profile} {
    begin_core();
  }

  stories::Record tell() {
    settle();
    while (!record_.finished && record_.broke_off.empty()) {
      const auto next = next_instant();
      if (next == Utc::max() || next > starts_ + longest_run) {
        record_.broke_off = "the run doesn't end";
        break;
      }
      now_ = std::max(now_, next);
      happen();
      settle();
    }
    for (const auto& line : record_.lines) record_.log += shotlog::encode(line);
    return std::move(record_);
  }

 private:
  [[nodiscard]] const timeline::RigTimeline& plan() const { return timeline_.rigs.front(); }

  void note(decltype(stories::Moment::what) what) {
    record_.moments.push_back({now_, now_, now_, std::move(what)});
  }

  [[nodiscard]] Utc next_instant() const {
    auto next = Utc::max();
    for (const auto& at : {core_back_, worker_back_, core_wake_, rig_wake_})
      next = std::min(next, at.value_or(next));
    return answer_ ? std::min(next, answer_->at) : next;
  }

  [[nodiscard]] bool due(const std::optional<Utc>& at) const { return at && *at <= now_; }

  void happen() {
    if (due(core_back_)) begin_core();
    if (due(worker_back_)) man();
    enum { nobody, core, core_before_sending, worker, ways };
    if (!core_ || worker_back_) return;
    const auto killed = choices_.choose(ways);
    if (killed == core_before_sending) {
      collect();
      auto out = core_->step(now_, std::exchange(inputs_, {}));
      write(out.lines);
      note(stories::Stepped{std::move(out.lines), {}, {}, false, false});
    }
    if (killed == core || killed == core_before_sending) kill_core();
    if (killed == worker) kill_worker();
  }

  void kill_core() {
    core_.reset();
    core_wake_.reset();
    inputs_.clear();
    core_back_ = now_ + core_away;
    note(stories::Ended{});
  }

  void begin_core() {
    core_back_.reset();
    const run::Facts facts{
        .mode = shotlog::Mode::event, .plan_hash = shotlog::sha256_text("plan"), .voice = true};
    if (record_.lines.empty()) {
      core_.emplace(timeline_, facts, beyond_doubt);
    } else {
      core_.emplace(timeline_, facts, beyond_doubt, shotlog::account_of(record_.lines));
    }
    note(stories::Began{&timeline_});
    if (!worker_back_) inputs_.emplace_back(run::Attached{0, rig_.held()});
    extra_step_ = true;
  }

  void kill_worker() {
    rig_ = rig::Rig{0, plan().profile};
    answer_.reset();
    rig_wake_.reset();
    inbox_.clear();
    unheard_.clear();
    worker_back_ = now_ + worker_away;
    inputs_.emplace_back(order::RigState{0, false, now_, "the worker was killed"});
  }

  /// The next worker holds what was sent meanwhile.
  void man() {
    worker_back_.reset();
    run::Attached attached{0, {}};
    for (auto& message : std::exchange(waiting_, {})) {
      if (const auto* order = std::get_if<order::Order>(&message)) attached.held.push_back({order->id, {}});
      inbox_.emplace_back(std::move(message));
    }
    if (!core_) return;
    inputs_.emplace_back(std::move(attached));
    inputs_.emplace_back(order::RigState{0, true, now_, {}});
  }

  void settle() {
    for (int rounds = 0; record_.broke_off.empty() && !record_.finished; ++rounds) {
      if (rounds > most_rounds) record_.broke_off = "it doesn't get past an instant";
      step_rig();
      if (!core_) return;
      collect();
      if (!std::exchange(extra_step_, false) && inputs_.empty() && !due(core_wake_)) return;
      step_core();
    }
  }

  void collect() {
    for (auto& report : std::exchange(unheard_, {})) inputs_.emplace_back(std::move(report));
  }

  void step_rig() {
    while (!worker_back_ && (!inbox_.empty() || due(rig_wake_) || (answer_ && answer_->at <= now_))) {
      if (answer_ && answer_->at <= now_) inbox_.emplace_back(*std::exchange(answer_, {}));
      auto out = rig_.step(now_, std::exchange(inbox_, {}));
      rig_wake_ = out.wake;
      unheard_.insert(unheard_.end(), out.reports.begin(), out.reports.end());
      if (!out.call) continue;
      std::vector<rig::TakenFrame> taken;
      answer_ = body_.reply(*out.call, now_, choices_, taken);
      for (const auto& frame : taken) note_shot(std::get<rig::ReleaseCall>(*out.call).frames.front(), frame);
    }
  }

  void note_shot(const order::FrameId& id, const rig::TakenFrame& frame) {
    const auto order = rig_.held().front().order;
    const auto& step = plan().steps[static_cast<std::size_t>(id.step)];
    note(stories::Shot{.name = {plan().name, step.name, id.set, id.frame},
                       .order = order,
                       .subject = step.subject.kind,
                       .filtered = step.filtered,
                       .has_filter = plan().has_filter,
                       .released_true = now_,
                       .released = now_,
                       .opened = frame.opened,
                       .closed = frame.closed});
  }

  void step_core() {
    auto out = core_->step(now_, std::exchange(inputs_, {}));
    core_wake_ = out.wake;
    write(out.lines);
    stories::Stepped step{std::move(out.lines), {}, {}, false, out.finished};
    for (auto& words : out.announcements) {
      step.words.push_back(std::move(words.text));
      step.words_end.push_back(words.ends);
    }
    note(std::move(step));
    for (auto& to : out.to_rigs) {
      if (worker_back_) {
        waiting_.push_back(std::move(to.message));
      } else {
        inbox_.emplace_back(std::move(to.message));
      }
    }
    record_.finished = out.finished;
  }

  void write(const std::vector<shotlog::Line>& lines) {
    record_.lines.insert(record_.lines.end(), lines.begin(), lines.end());
  }

  const timeline::Timeline& timeline_;
  Choices& choices_;
  Utc starts_;
  Utc now_;
  stories::Record record_;
  std::optional<run::Run> core_;  // none: it was killed
  std::optional<Utc> core_wake_;
  std::optional<Utc> core_back_;
  std::vector<run::Input> inputs_;
  bool extra_step_ = false;
  Body body_;
  rig::Rig rig_;
  std::optional<Utc> rig_wake_;
  std::optional<Utc> worker_back_;  // there is no worker until then
  std::optional<DeviceAnswer> answer_;
  std::vector<rig::Input> inbox_;
  std::vector<order::ToRig> waiting_;
  std::vector<order::Report> unheard_;
};

}  // namespace

stories::Record tell(const timeline::Timeline& timeline, Utc starts, Choices& choices) {
  return World{timeline, starts, choices}.tell();
}

}  // namespace noonfall::explore
