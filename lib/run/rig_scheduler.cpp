#include "lib/run/rig_scheduler.h"

#include <utility>

#include "lib/base/match.h"
#include "lib/body/model.h"
#include "lib/timeline/exposures.h"

namespace noonfall::run {
namespace {

using namespace std::chrono_literals;
using shotlog::SkipReason;

constexpr Duration report_usual = 2s;  // of the last frame before the filter goes on, after its closing
/// Comings and goings of a body and what it has to be told of; a flood is cut.
constexpr std::int64_t most_faults = 40;
constexpr Duration faults_span = 10s;
constexpr const char* late_frame_words =
    "no word from the body, it may still take a frame: camera filter back on first, then switch the camera "
    "off";

}  // namespace

RigScheduler::RigScheduler(std::int32_t index, const timeline::RigTimeline& plan, bool can_cycle_power,
                           bool has_spare)
    : index_{index},
      plan_{plan},
      orders_{index, plan},
      pace_{body::Buffer{plan.profile}},
      recovery_{can_cycle_power, has_spare},
      faults_{most_faults, faults_span} {
  if (plan_.by_hand) progress_.enter(plan_.steps.size());
  for (const auto& step : plan_.steps) untrimmed_.push_back(step.shapes);
}

void RigScheduler::resume(const PastRig& past, Past kind, Utc now, Output& out) {
  held_ = past.held;
  skipped_ = past.skipped;
  trim(past.trim);
  if (!plan_.by_hand) progress_.resume(plan_, past.steps, now);
  orders_.resume(plan_, past, kind, now);
  if (held_) orders_.cancel_all(SkipReason::held, out);
  orders_.cancel_if([&](const auto& issued) { return issued.step && skipped_.contains(issued.step_name); },
                    SkipReason::skipped, out);
  for (const auto opened : past.opened) fill_buffer(opened);
}

void RigScheduler::attached(const std::vector<order::HeldOrder>& held, std::int64_t last_logged,
                            LogWriter& log, Output& out) {
  orders_.attached(held, last_logged, log, out);
  if (held_) orders_.cancel_unlogged(SkipReason::held, out);
}

void RigScheduler::hold(Output& out) {
  held_ = true;
  orders_.cancel_all(SkipReason::held, out);
}

void RigScheduler::resume(Utc now, Output& out) {
  if (held_ && !plan_.by_hand)
    out.to_rigs.push_back({index_, order::Recover{order::Remedy::drain_and_retry, now}});
  held_ = false;
}

void RigScheduler::skip_step(const std::string& name, Output& out) {
  skipped_.insert(name);
  orders_.cancel_if([&](const auto& issued) { return issued.step_name == name; }, SkipReason::skipped, out);
}

void RigScheduler::trim(Stops by) {
  trim_ = {trim_.value + by.value};
  for (std::size_t n = 0; n < plan_.steps.size(); ++n) {
    auto& step = plan_.steps[n];
    step.shapes =
        trim_ == Stops{} ? untrimmed_[n] : timeline::trimmed(untrimmed_[n], plan_.profile, step.drive, trim_);
  }
}

void RigScheduler::stop(Output& out) {
  progress_.enter(plan_.steps.size());
  orders_.cancel_all(SkipReason::stopped, out);
}

void RigScheduler::set_filter(shotlog::FilterState state, Utc now, Output& out) {
  filter_ = state;
  if (filter_ == shotlog::FilterState::on) return;
  const auto needs_filter = [&](const IssuedOrder& issued) {
    return issued.step && plan_.steps[*issued.step].filtered && now <= issued.order.frames.back().latest;
  };
  orders_.cancel_if(needs_filter, SkipReason::no_filter, out);
}

void RigScheduler::advance(Utc now, std::int64_t& last_order_id, LogWriter& log, Output& out) {
  orders_.close_overdue(now, log, out);
  tell_left_out(now, log, out);
  recover(now, log, out);
  if (!orders_.unsure_of_worker(now, out))
    while (advance_plan(now, last_order_id, log, out)) continue;
  orders_.wake_when_overdue(out);
  warn_of_late_frame(now, log, out);
}

/// False when nothing more is to be done now.
bool RigScheduler::advance_plan(Utc now, std::int64_t& last_order_id, LogWriter& log, Output& out) {
  if (plan_is_over() || orders_.full()) return false;
  if (restraint_.hopeless() && step_at_hand().back_to_back) {
    leave_step(SkipReason::refused, log);
    return true;
  }
  auto next = next_order(plan_, {.now = now,
                                 .rig = index_,
                                 .progress = progress_,
                                 .orders = orders_,
                                 .pace = pace_,
                                 .held = held_,
                                 .skipped = skipped_.contains(step_at_hand().name),
                                 .filter_on = filter_ == shotlog::FilterState::on,
                                 .not_before = restraint_.not_before()});
  std::visit(Match{[&](Issue& order) { issue(std::move(order), now, last_order_id, log, out); },
                   [&](const LeaveSet& leave) { leave_set(leave.why, log); },
                   [&](const LeaveStep& leave) { leave_step(leave.why, log); },
                   [&](const Wait& wait) {
                     if (wait.until) out.wake_at(*wait.until);
                   }},
             next);
  return !std::holds_alternative<Wait>(next);
}

Utc RigScheduler::next_due() const {
  for (auto n = progress_.step(); n < plan_.steps.size(); ++n) {
    const auto& step = plan_.steps[n];
    if (step.back_to_back) return step.from - step.lead;
    const auto set = n == progress_.step() ? progress_.sets() : 0;
    if (set < step.targets.size()) return step.targets[set].due - step.lead;
  }
  return Utc::max();
}

void RigScheduler::issue(Issue next, Utc now, std::int64_t& last_order_id, LogWriter& log, Output& out) {
  IssuedOrder issued;
  issued.order = std::move(next.order);
  issued.order.id = ++last_order_id;
  issued.step = progress_.step();
  issued.step_name = step_at_hand().name;
  issued.unfiltered = !step_at_hand().filtered;
  issued.shape = next.shape;
  issued.issued = now;
  orders_.issue(std::move(issued), log, out);
  progress_.next_set();
}

void RigScheduler::leave_set(std::optional<SkipReason> why, LogWriter& log) {
  const auto& step = step_at_hand();
  const auto& target = step.targets[progress_.sets()];
  const auto& offsets = step.shapes[target.shape].offsets;
  for (std::size_t n = 0; why && n < offsets.size(); ++n) {
    const auto frame = static_cast<std::int32_t>(n) + 1;
    log.write(
        shotlog::Skip{{plan_.name, step.name, progress_.set_number(), frame}, target.due + offsets[n], *why});
  }
  progress_.next_set();
}

void RigScheduler::leave_step(std::optional<SkipReason> why, LogWriter& log) {
  const auto& step = step_at_hand();
  if (why) log.write(shotlog::Skip{{plan_.name, step.name, 0, 0}, step.from, *why});
  progress_.next_step();
  restraint_.left_step();
}

void RigScheduler::recover(Utc now, LogWriter& log, Output& out) {
  // Behind the window there is time again for everything.
  const bool in_window = plan_.window && now >= plan_.window->opens && now < plan_.window->usable_until;
  if (const auto attempt = recovery_.advance(now, in_window ? plan_.window->usable_until : Utc::max())) {
    out.to_rigs.push_back({index_, attempt->recover});
    asks_ = asks_ || attempt->asks;
    if (attempt->words != nullptr) log.write(shotlog::BodyNews{plan_.name, false, attempt->words});
  }
  if (recovery_.away() && !finished()) out.wake_at(recovery_.next_attempt());
}

/// A frame asked of a body without a word of how it went may still be taken, and the filter's time is up.
void RigScheduler::warn_of_late_frame(Utc now, LogWriter& log, Output& out) {
  if (!plan_.window || warned_of_late_frame_ || !orders_.may_fire_unfiltered()) return;
  const auto from = plan_.window->usable_until + report_usual;
  if (now < from) return out.wake_at(from);
  warned_of_late_frame_ = true;
  log.write(shotlog::BodyNews{plan_.name, false, late_frame_words});
}

}  // namespace noonfall::run
