#include "lib/run/lane.h"

#include <algorithm>
#include <array>

#include "lib/body/model.h"

namespace noonfall::run {
namespace {

using namespace std::chrono_literals;

constexpr std::size_t most_orders = 2;
constexpr Duration issue_ahead = 2s;    // before the settings go out, so that the order is there in time
constexpr Duration word_overdue = 15s;  // after the last shutter should have closed
constexpr Duration word_usual = 2s;     // of the last frame before the filter goes on, after its closing
constexpr const char* late_frame_words =
    "no word from the body, it may still take a frame: camera filter back on first, then switch the camera "
    "off";
constexpr Duration recovery_span = 30s;  // one request to bring the body back

struct RungOfLadder {
  order::Rung rung;
  const char* words;  // for the log and the person; none for the first
};
constexpr std::array ladder{
    RungOfLadder{order::Rung::reopen, nullptr},
    RungOfLadder{order::Rung::reset_port, "still away: its port is reset"},
    RungOfLadder{
        order::Rung::restart_worker,
        "still away: its worker is started anew; look at cable and battery, switch the camera off and on"},
};
constexpr auto filter_away = "the camera filter wasn't known to be on";
constexpr double doubt =
    0.25;  // of a set's cycle: by no more is the prediction of a set's start likely to be wrong

}  // namespace

RigScheduler::RigScheduler(std::int32_t index, const timeline::RigTimeline& plan)
    : index_{index}, plan_{plan}, buffer_{plan.profile} {
  if (plan_.by_hand) cursor_.step = plan_.steps.size();
  for (const auto& step : plan_.steps) untrimmed_.push_back(step.shapes);
}

bool RigScheduler::finished() const {
  if (stopped_) return issued_.empty();
  return cursor_.step == plan_.steps.size() && issued_.empty();
}

void RigScheduler::advance(Utc now, std::int64_t& last_order_id, LogWriter& log, Output& out) {
  close_overdue(now, log, out);
  recover(now, log, out);
  for (bool more = !unsure_of_worker(now, out);
       more && cursor_.step < plan_.steps.size() && issued_.size() < most_orders;) {
    const auto before = begun_.find(cursor_.step);
    if (before != begun_.end() && before->second.passed_over) {
      next_step();
      continue;
    }
    if (skipped_steps_.count(cursor_.step) > 0) {
      const auto& step = plan_.steps[cursor_.step];
      log.write(shotlog::Skip{{plan_.name, step.name, 0, 0}, step.from, "the operator skipped the step"});
      next_step();
      continue;
    }
    const bool back_to_back = plan_.steps[cursor_.step].back_to_back;
    const auto next = back_to_back ? advance_back_to_back(now, last_order_id, log, out)
                                   : advance_target(now, last_order_id, log, out);
    more = next != Next::wait;
  }
  // A rig works on its orders in turn: of the second no word is due while the first is in progress.
  if (!issued_.empty()) wake_at(overdue_from(issued_.front()), out);
  warn_of_late_frame(now, log, out);
}

RigScheduler::Next RigScheduler::advance_target(Utc now, std::int64_t& last_order_id, LogWriter& log,
                                                Output& out) {
  const auto& step = plan_.steps[cursor_.step];
  if (static_cast<std::size_t>(cursor_.set) == step.targets.size()) {
    next_step();
    return Next::passed_over;
  }
  if (set_number() == 0) {  // done before
    ++cursor_.set;
    return Next::passed_over;
  }
  const auto& target = step.targets[static_cast<std::size_t>(cursor_.set)];
  auto order = target_order(step, target);
  if (now < order.prepare_from - issue_ahead) {
    wake_at(order.prepare_from - issue_ahead, out);
    return Next::wait;
  }
  if (now > order.frames.front().latest || held_) {
    const auto* why = held_ ? "the rig was held" : lacks_filter(step) ? filter_away : "its time had passed";
    pass_over(step, target, why, log);
    return Next::passed_over;
  }
  if (lacks_filter(step)) {
    wake_at(order.frames.front().latest + Duration{1}, out);
    return Next::wait;
  }
  issue(std::move(order), target.shape, last_order_id, log, out);
  return Next::issued;
}

RigScheduler::Next RigScheduler::advance_back_to_back(Utc now, std::int64_t& last_order_id, LogWriter& log,
                                                      Output& out) {
  const auto& step = plan_.steps[cursor_.step];
  const auto first_issue = step.from - step.lead - issue_ahead;
  if (now < first_issue) {
    wake_at(first_issue, out);
    return Next::wait;
  }
  if ((held_ || lacks_filter(step)) && now < step.until) {
    wake_at(step.until, out);
    return Next::wait;
  }
  if (now < not_again_before_) {
    wake_at(not_again_before_, out);
    return Next::wait;
  }
  // The next set is decided when the one before has started, with the newest knowledge of the body's pace.
  if (!issued_.empty() && !issued_.back().started) return Next::wait;
  const bool in_progress = !issued_.empty() && issued_.back().step == cursor_.step;
  const bool burst = step.drive == body::Drive::continuous;
  // A burst was asked for as long as it can last; whether time is left is known only when it has ended.
  if (in_progress && burst) return Next::wait;
  const auto opening = predicted_opening(now, step);
  const auto repeats = burst ? burst_length(step, opening) : 1;
  auto order = back_to_back_order(step, opening, std::max(repeats, std::size_t{1}));
  const bool fits = opening <= order.frames.front().latest && !held_;
  // The first burst is tried even if the model sees no room for it: the body may know better.
  const bool room = burst ? repeats > 0 || cursor_.set == 0 : leaves_room(step, order.frames.size(), opening);
  if (fits && room) {
    issue(std::move(order), shape_due(step), last_order_id, log, out);
    return Next::issued;
  }
  const auto hope = from_seconds(in_seconds(step.shapes[shape_due(step)].cycle) * doubt);
  if (!fits && in_progress && opening < order.frames.front().latest + hope) return Next::wait;
  if (cursor_.set == 0) {
    const auto* why = fits                 ? "the buffer has no room for it"
                      : held_              ? "the rig was held"
                      : lacks_filter(step) ? filter_away
                                           : "its time had passed";
    log.write(shotlog::Skip{{plan_.name, step.name, 0, 0}, step.from, why});
  }
  next_step();
  return Next::passed_over;
}

void RigScheduler::issue(order::Order order, std::size_t shape, std::int64_t& last_order_id, LogWriter& log,
                         Output& out) {
  order.id = ++last_order_id;
  Issued issued;
  issued.step = cursor_.step;
  issued.step_name = plan_.steps[cursor_.step].name;
  issued.shape = shape;
  for (const auto& frame : order.frames) {
    issued.open.insert(place_of(frame.id));
    log.write(shotlog::Intent{name_of(issued, frame.id), order.id, frame.due, frame.latest, frame.exposure});
  }
  out.to_rigs.push_back({index_, order});
  issued.order = std::move(order);
  issued_.push_back(std::move(issued));
  ++cursor_.set;
}

void RigScheduler::pass_over(const timeline::RigStep& step, const timeline::Target& target,
                             const std::string& why, LogWriter& log) {
  const auto number = set_number();
  ++cursor_.set;
  const auto& shape = step.shapes[target.shape];
  for (std::size_t n = 0; n < shape.exposures.size(); ++n) {
    log.write(shotlog::Skip{{plan_.name, step.name, number, static_cast<std::int32_t>(n) + 1},
                            target.due + shape.offsets[n],
                            why});
  }
}

void RigScheduler::next_step() {
  enter_step(cursor_.step + 1);
}

void RigScheduler::enter_step(std::size_t step) {
  cursor_ = {step, 0};
  const auto before = begun_.find(step);
  if (before != begun_.end() && plan_.steps[step].back_to_back) cursor_.set = before->second.last_set;
}

/// The number of the set at the cursor; zero when it is done.
std::int32_t RigScheduler::set_number() const {
  const auto before = begun_.find(cursor_.step);
  if (before == begun_.end() || plan_.steps[cursor_.step].back_to_back) return cursor_.set + 1;
  return before->second.numbers[static_cast<std::size_t>(cursor_.set)];
}

/// The rig may still be at work on them: it is told to take no more of their frames.
void RigScheduler::close_overdue(Utc now, LogWriter& log, Output& out) {
  while (!issued_.empty()) {
    auto& issued = issued_.front();
    if (now < overdue_from(issued)) return;
    give_up(issued, "no word came from the rig", log);
    cancel(issued, "no word came from the rig", out);
    issued_.pop_front();
  }
}

/// A frame asked of a body without a word of how it went may still be taken, and the filter's time is up.
void RigScheduler::warn_of_late_frame(Utc now, LogWriter& log, Output& out) {
  const bool waiting = std::any_of(issued_.begin(), issued_.end(), [&](const Issued& issued) {
    return !issued.open.empty() && is_unfiltered(issued.step_name);
  });
  if (!plan_.window || warned_of_late_frame_ || (!may_fire_ && !waiting)) return;
  const auto from = plan_.window->usable_until + word_usual;
  if (now < from) return wake_at(from, out);
  warned_of_late_frame_ = true;
  log.write(shotlog::Fault{plan_.name, false, late_frame_words});
}

bool RigScheduler::is_unfiltered(const std::string& step) const {
  return std::any_of(plan_.steps.begin(), plan_.steps.end(),
                     [&](const timeline::RigStep& each) { return each.name == step && !each.filtered; });
}

/// From then on no word on the order is to be expected.
Utc RigScheduler::overdue_from(const Issued& issued) {
  const auto& last = issued.order.frames.back();
  return last.latest + body::open_time(last.exposure.shutter) + word_overdue;
}

/// Which of the step's shapes the next set has.
std::size_t RigScheduler::shape_due(const timeline::RigStep& step) const {
  return static_cast<std::size_t>(cursor_.set) % step.shapes.size();
}

/// Rung by rung, and then from the first again.
void RigScheduler::recover(Utc now, LogWriter& log, Output& out) {
  if (!away_) return;
  if (now >= recovery_until_) {
    const auto& rung = ladder[recoveries_++ % ladder.size()];
    recovery_until_ = now + recovery_span;
    out.to_rigs.push_back({index_, order::Recover{rung.rung, recovery_until_}});
    if (rung.words != nullptr) log.write(shotlog::Fault{plan_.name, false, rung.words});
  }
  if (!finished()) wake_at(recovery_until_, out);
}

void RigScheduler::wake_at(Utc when, Output& out) const {
  out.wake_at(when);
}

}  // namespace noonfall::run
