#include "tests/stories/world.h"

#include <algorithm>
#include <map>
#include <memory>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "lib/base/match.h"
#include "lib/run/run.h"
#include "lib/shotlog/codec.h"
#include "lib/shotlog/replay.h"
#include "lib/time/utc_text.h"
#include "tests/stories/plan_clock.h"
#include "tests/stories/station.h"

namespace noonfall::stories {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;

constexpr Duration longest_leave = 10s;  // whoever told the daemon to end loses patience
constexpr Duration longest_story = 8h;
constexpr int most_rounds = 5'000;  // of one instant

class World {
 public:
  explicit World(const Story& story) : story_{story} {
    clock_.pass_to(story.starts);
    state_ = story.clock;
    begin_core(0);
  }

  Record tell() {
    settle();
    while (!record_.finished && record_.broke_off.empty()) {
      const auto next = next_instant();
      if (next == Utc::max() || next > story_.starts + longest_story) {
        record_.broke_off = "the run doesn't end";
        break;
      }
      clock_.pass_to(next);
      happen();
      settle();
    }
    return std::move(record_);
  }

 private:
  void note(decltype(Moment::what) what) {
    const auto now = clock_.now();
    record_.moments.push_back({clock_.truth(), now, clock_.reads(), std::move(what)});
  }

  [[nodiscard]] Utc next_instant() const {
    auto next = Utc::max();
    const auto sooner = [&](const std::optional<Utc>& at) { next = std::min(next, at.value_or(Utc::max())); };
    if (event_ < story_.events.size()) sooner(std::max(story_.events[event_].at, clock_.truth()));
    for (const auto& at : {stalled_until_, core_back_, leaves_by_}) sooner(at);
    if (core_ && !stalled_until_ && core_wake_) sooner(clock_.true_time(*core_wake_));
    for (const auto& [at, index] : workers_back_) sooner(at);
    for (const auto& station : stations_) sooner(station.next(clock_));
    return next;
  }

  [[nodiscard]] bool due(const std::optional<Utc>& at) const { return at && *at <= clock_.truth(); }

  void happen() {
    for (; event_ < story_.events.size() && story_.events[event_].at <= clock_.truth(); ++event_) {
      extra_step_ = true;
      std::visit([&](const auto& what) { happen(what); }, story_.events[event_].what);
    }
    if (due(stalled_until_)) go_on();
    if (due(leaves_by_)) kill_core(leaves_for_, leaves_to_);
    if (due(core_back_)) begin_core(next_chapter_);
    for (auto back = workers_back_.begin(); back != workers_back_.end();) {
      if (back->first > clock_.truth()) {
        ++back;
        continue;
      }
      worker_back(back->second);
      back = workers_back_.erase(back);
    }
  }

  void happen(const Said& said) {
    if (!core_) return;
    auto command = shotlog::parse_command(said.words, core_->names());
    if (!command) return;  // of a rig or step that isn't in this plan
    inputs_.emplace_back(run::Request{*command});
    if (std::holds_alternative<shotlog::ClockOk>(*command))
      grade({shotlog::ClockGrade::c, 500ms}, "the operator vouches for the clock");
  }
  void happen(const Stall& stall) {
    if (!core_ || stalled_until_) return;
    stalled_until_ = clock_.truth() + stall.lasts;
    note(Stalled{});
  }
  void happen(const KillCore& kill) {
    if (!core_) return;
    if (kill.before_sending && !stalled_until_) {
      auto out = core_->step(clock_.now(), std::exchange(inputs_, {}));
      write(out.lines);
      note(Stepped{std::move(out.lines), {}, {}, leaving_, false});
    }
    kill_core(kill.away, kill.chapter);
  }
  void happen(const EndCore& end) {
    if (!core_ || leaves_by_) return;
    inputs_.emplace_back(run::Leaving{});
    leaves_by_ = clock_.truth() + longest_leave;
    leaves_for_ = end.away;
    leaves_to_ = end.chapter;
  }
  void happen(const KillWorker& kill) {
    if (kill.rig >= stations_.size() || !stations_[kill.rig].manned()) return;
    stations_[kill.rig].kill();
    workers_back_.emplace_back(clock_.truth() + kill.away, kill.rig);
    if (core_)
      inputs_.emplace_back(
          order::RigState{static_cast<std::int32_t>(kill.rig), false, clock_.now(), "the worker was killed"});
  }
  /// Nothing moves the plan's clock between C2 - 60 s and C3 + 60 s.
  void happen(const Graded& graded) {
    const auto& sky = chapter().timeline.circumstances;
    const auto& c2 = sky.at(ContactName::c2);
    const auto& c3 = sky.at(ContactName::c3);
    const auto now = clock_.now();
    const bool fixed = c2 && c3 && now >= c2->utc - 60s && now <= c3->utc + 60s;
    if (!fixed) clock_.jump(graded.jump);
    grade(graded.state, "heard");
    note(ClockMoved{});
  }
  void grade(shotlog::ClockState state, const char* why) {
    state_ = state;
    if (core_) inputs_.emplace_back(run::ClockChange{state, why});
  }

  void go_on() {
    stalled_until_.reset();
    extra_step_ = true;
    note(WentOn{});
  }

  void kill_core(Duration away, std::size_t next_chapter) {
    core_.reset();
    stalled_until_.reset();
    leaves_by_.reset();
    leaving_ = false;
    core_wake_.reset();
    inputs_.clear();
    core_back_ = clock_.truth() + away;
    next_chapter_ = next_chapter;
    note(Ended{});
  }

  [[nodiscard]] const Chapter& chapter() const { return story_.chapters[chapter_]; }

  void begin_core(std::size_t which) {
    core_back_.reset();
    chapter_ = which;
    const auto& [name, timeline, facts] = chapter();
    const auto lines = shotlog::replay(record_.log).lines;
    if (!lines.empty()) {
      core_.emplace(timeline, facts, state_, shotlog::account_of(lines));
    } else {
      core_.emplace(timeline, facts, state_);
    }
    note(Began{&timeline});
    inputs_.emplace_back(run::ClockChange{state_, "the daemon started"});
    take_over_workers(timeline);
    extra_step_ = true;
  }

  void take_over_workers(const timeline::Timeline& timeline) {
    auto before = std::exchange(stations_, {});
    for (std::size_t n = 0; n < timeline.rigs.size(); ++n) {
      const auto& planned = timeline.rigs[n];
      const bool same = n < before.size() && before[n].serves(planned.name, planned.profile);
      const auto index = static_cast<std::int32_t>(n);
      stations_.push_back(same ? std::move(before[n])
                               : Station{index, planned.name, body_of(planned), planned.profile});
      if (planned.by_hand || !stations_.back().manned()) continue;
      inputs_.emplace_back(stations_.back().attached());
      if (!same) inputs_.emplace_back(order::RigState{index, true, clock_.now(), {}});
    }
    workers_back_.erase(std::remove_if(workers_back_.begin(), workers_back_.end(),
                                       [&](const auto& back) {
                                         return back.second >= stations_.size() ||
                                                stations_[back.second].manned();
                                       }),
                        workers_back_.end());
  }

  std::shared_ptr<sim::SimulatedBody> body_of(const timeline::RigTimeline& planned) {
    auto& body = bodies_[planned.name + '/' + planned.profile.name];
    const auto faults = story_.faults.find(planned.name);
    if (!body)
      body = std::make_shared<sim::SimulatedBody>(
          sim::BodySetup{planned.profile, planned.files, story_.seed, story_.detune,
                         faults == story_.faults.end() ? std::vector<sim::Fault>{} : faults->second});
    return body;
  }

  void worker_back(std::size_t rig) {
    auto held = stations_[rig].man();
    if (!core_) return;
    const auto index = static_cast<std::int32_t>(rig);
    inputs_.emplace_back(run::Attached{index, std::move(held)});
    inputs_.emplace_back(order::RigState{index, true, clock_.now(), {}});
  }

  void settle() {
    for (int rounds = 0; record_.broke_off.empty() && !record_.finished; ++rounds) {
      if (rounds > most_rounds)
        record_.broke_off =
            fmt::format("it doesn't get past an instant; the core, called at {}, wakes at {}",
                        to_text_us(clock_.now()), core_wake_ ? to_text_us(*core_wake_) : "no time");
      for (std::size_t n = 0; n < stations_.size(); ++n) step_station(n);
      if (!core_ || stalled_until_) return;
      for (auto& station : stations_) station.report(inputs_);
      const bool core_due = std::exchange(extra_step_, false) || !inputs_.empty() ||
                            (core_wake_ && *core_wake_ <= clock_.now());
      if (!core_due) return;
      step_core();
    }
  }

  void step_station(std::size_t n) {
    const auto called = clock_.now();
    stations_[n].step(clock_, [&](std::int64_t order, const sim::RecordedFrame& frame) {
      const auto& ordered = ordered_.at({order, frame.id});
      const auto by_plan = [&](Utc truth) { return called + (truth - clock_.truth()); };
      note(Shot{ordered.name, order, ordered.subject, ordered.filtered, ordered.has_filter, frame.released,
                by_plan(frame.released), by_plan(frame.opened), by_plan(frame.closed)});
    });
  }

  void step_core() {
    leaving_ = leaving_ || std::any_of(inputs_.begin(), inputs_.end(), [](const run::Input& input) {
                 const auto* request = std::get_if<run::Request>(&input);
                 return std::holds_alternative<run::Leaving>(input) ||
                        (request != nullptr && std::holds_alternative<shotlog::Stop>(request->command));
               });
    auto out = core_->step(clock_.now(), std::exchange(inputs_, {}));
    core_wake_ = out.wake;
    write(out.lines);
    Stepped step{std::move(out.lines), {}, {}, leaving_, out.finished};
    for (auto& words : out.announcements) {
      step.words.push_back(std::move(words.text));
      step.words_end.push_back(words.ends);
    }
    note(std::move(step));
    for (auto& to : out.to_rigs) send(to.rig, std::move(to.message));
    record_.finished = out.finished;
    if (!out.finished && leaves_by_ && out.filters_on) kill_core(leaves_for_, leaves_to_);
  }

  void write(const std::vector<shotlog::Line>& lines) {
    for (const auto& line : lines) {
      record_.log += shotlog::encode(line);
      record_.lines.push_back(line);
    }
  }

  void send(std::int32_t rig, order::ToRig message) {
    const auto& planned = chapter().timeline.rigs[static_cast<std::size_t>(rig)];
    if (const auto* order = std::get_if<order::Order>(&message)) {
      for (const auto& frame : order->frames) {
        const auto& step = planned.steps[static_cast<std::size_t>(frame.id.step)];
        ordered_[{order->id, frame.id}] = {{planned.name, step.name, frame.id.set, frame.id.frame},
                                           step.subject.kind,
                                           step.filtered,
                                           planned.has_filter};
      }
    }
    stations_[static_cast<std::size_t>(rig)].send(std::move(message));
  }

  struct Ordered {
    shotlog::FrameName name;
    exposure::SubjectKind subject;
    bool filtered;
    bool has_filter;
  };

  const Story& story_;
  Record record_;
  PlanClock clock_;
  shotlog::ClockState state_;
  std::size_t event_ = 0;
  std::size_t chapter_ = 0;
  std::optional<run::Run> core_;  // none: it was killed
  std::optional<Utc> core_wake_;  // by the plan's clock
  bool extra_step_ = false;
  std::vector<run::Input> inputs_;
  std::optional<Utc> stalled_until_;
  std::optional<Utc> core_back_;
  std::size_t next_chapter_ = 0;
  bool leaving_ = false;
  std::optional<Utc> leaves_by_;
  Duration leaves_for_{};
  std::size_t leaves_to_ = 0;
  std::map<std::string, std::shared_ptr<sim::SimulatedBody>> bodies_;
  std::vector<Station> stations_;
  std::vector<std::pair<Utc, std::size_t>> workers_back_;
  std::map<std::pair<std::int64_t, order::FrameId>, Ordered> ordered_;
};

}  // namespace

Record tell(const Story& story) {
  return World{story}.tell();
}

}  // namespace noonfall::stories
