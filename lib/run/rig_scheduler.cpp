#include "lib/run/rig_scheduler.h"

#include <algorithm>
#include <utility>

#include "lib/base/match.h"
#include "lib/body/model.h"
#include "lib/timeline/exposures.h"

namespace noonfall::run {
namespace {

using namespace std::chrono_literals;
using order::Outcome;
using shotlog::SkipReason;

constexpr Duration report_usual = 2s;  // of the last frame before the filter goes on, after its closing
constexpr Duration first_refusal = 250ms;
constexpr int most_doublings = 5;
constexpr const char* late_frame_words =
    "no word from the body, it may still take a frame: camera filter back on first, then switch the camera "
    "off";

shotlog::Entry entry_of(shotlog::FrameName name, const order::FrameDone& done, Utc due, std::string why,
                        SkipReason reason = SkipReason::other) {
  if (done.outcome == Outcome::skipped) return shotlog::Skip{std::move(name), due, reason, std::move(why)};
  return shotlog::Outcome{
      .frame = std::move(name),
      .result = done.outcome,
      .due = due,
      .opened = done.outcome == Outcome::fired ? std::optional{done.opened} : std::nullopt,
      .exposure = done.exposure,
      .files = done.files,
      .why = std::move(why)};
}

/// When the frame was due, as far as that is known.
Utc due_of(const order::FrameDone& done, const timeline::RigStep& step) {
  const auto reported = done.outcome == Outcome::fired ? done.opened : done.at;
  const auto set = static_cast<std::size_t>(done.id.set) - 1;
  const auto frame = static_cast<std::size_t>(done.id.frame) - 1;
  if (step.back_to_back || set >= step.targets.size()) return reported;
  const auto& offsets = step.shapes[step.targets[set].shape].offsets;
  return frame < offsets.size() ? step.targets[set].due + offsets[frame] : reported;
}

/// From the opening of the frame before to that of `frame`, counted from 1.
Duration predicted_interval(const timeline::SetShape& shape, std::int32_t frame) {
  const auto at = (static_cast<std::size_t>(frame) - 1) % shape.offsets.size();
  return at == 0 ? shape.cycle - shape.offsets.back() : shape.offsets[at] - shape.offsets[at - 1];
}

}  // namespace

RigScheduler::RigScheduler(std::int32_t index, const timeline::RigTimeline& plan)
    : index_{index}, plan_{plan}, orders_{index, plan}, pace_{body::Buffer{plan.profile}} {
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
    out.to_rigs.push_back({index_, order::Recover{order::Rung::drain_and_retry, now}});
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
  recover(now, log, out);
  if (!orders_.unsure_of_worker(now, out))
    while (advance_plan(now, last_order_id, log, out)) continue;
  orders_.wake_when_overdue(out);
  warn_of_late_frame(now, log, out);
}

/// False when nothing more is to be done now.
bool RigScheduler::advance_plan(Utc now, std::int64_t& last_order_id, LogWriter& log, Output& out) {
  if (plan_is_over() || orders_.full()) return false;
  auto next = next_order(plan_, {.now = now,
                                 .rig = index_,
                                 .progress = progress_,
                                 .orders = orders_,
                                 .pace = pace_,
                                 .held = held_,
                                 .skipped = skipped_.contains(step_at_hand().name),
                                 .filter_on = filter_ == shotlog::FilterState::on,
                                 .not_before = refusals_.not_before});
  std::visit(Match{[&](Issue& order) { issue(std::move(order), last_order_id, log, out); },
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

void RigScheduler::issue(Issue next, std::int64_t& last_order_id, LogWriter& log, Output& out) {
  IssuedOrder issued;
  issued.order = std::move(next.order);
  issued.order.id = ++last_order_id;
  issued.step = progress_.step();
  issued.step_name = step_at_hand().name;
  issued.unfiltered = !step_at_hand().filtered;
  issued.shape = next.shape;
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
}

void RigScheduler::recover(Utc now, LogWriter& log, Output& out) {
  if (const auto attempt = recovery_.advance(now)) {
    out.to_rigs.push_back({index_, attempt->recover});
    if (attempt->words != nullptr) log.write(shotlog::Fault{plan_.name, false, attempt->words});
  }
  if (recovery_.away() && !finished()) out.wake_at(recovery_.next_attempt());
}

/// A frame asked of a body without a word of how it went may still be taken, and the filter's time is up.
void RigScheduler::warn_of_late_frame(Utc now, LogWriter& log, Output& out) {
  if (!plan_.window || warned_of_late_frame_ || !orders_.may_fire_unfiltered()) return;
  const auto from = plan_.window->usable_until + report_usual;
  if (now < from) return out.wake_at(from);
  warned_of_late_frame_ = true;
  log.write(shotlog::Fault{plan_.name, false, late_frame_words});
}

void RigScheduler::take(const order::Report& report, Utc now, LogWriter& log) {
  std::visit(Match{[&](const order::OrderStarted& started) { order_started(started); },
                   [&](const order::FrameDone& done) {
                     if (done.id.rig == index_) frame_done(done, now, log);
                   },
                   [&](const order::OrderDone& done) { order_done(done); },
                   [&](const order::RigState& state) {
                     if (state.rig == index_) rig_changed(state, log);
                   }},
             report);
}

void RigScheduler::order_started(const order::OrderStarted& started) {
  auto* issued = orders_.find(started.order);
  if (issued == nullptr) return;
  issued->started = started.at;
  refusals_.in_a_row = 0;
}

void RigScheduler::frame_done(const order::FrameDone& done, Utc now, LogWriter& log) {
  if (done.outcome == Outcome::fired || done.outcome == Outcome::failed) heard_of_body();
  auto* issued = orders_.find(done.order);
  if (issued == nullptr) return late_frame_done(done, now, log);
  const auto* frame = OrderTracker::take_open(*issued, done.id);
  if (frame == nullptr) return;
  const bool over = issued->step && plan_.steps[*issued->step].back_to_back &&
                    done.outcome == Outcome::skipped && !recovery_.away();
  log.write(entry_of(orders_.name_of(*issued, done.id), done, frame->due, over ? "" : done.why,
                     over ? SkipReason::step_over : SkipReason::other));
  issued->tried = issued->tried || done.outcome != Outcome::skipped;
  if (done.outcome == Outcome::unknown) orders_.left_in_doubt(*issued);
  if (done.outcome == Outcome::fired || done.outcome == Outcome::unknown) fill_buffer(std::min(done.at, now));
  if (done.outcome == Outcome::fired) learn(*issued, done);
}

/// Given up as unknown before, the late word resolves it. Anything else was never ours to count.
void RigScheduler::late_frame_done(const order::FrameDone& done, Utc now, LogWriter& log) {
  auto late = orders_.take_given_up(done);
  if (!late) return unlogged_done(done, now, log);
  log.write(entry_of(std::move(late->name), done, late->due, done.why.empty() ? "reported late" : done.why));
}

/// The word on a frame that no log knows of is all there is of it.
void RigScheduler::unlogged_done(const order::FrameDone& done, Utc now, LogWriter& log) {
  const auto index = static_cast<std::size_t>(done.id.step);
  if (!orders_.is_unlogged(done.order) || index >= plan_.steps.size()) return;
  const auto& step = plan_.steps[index];
  const shotlog::FrameName name{plan_.name, step.name, done.id.set, done.id.frame};
  const auto due = due_of(done, step);
  const auto latest = step.until - body::open_time(done.exposure.shutter);
  progress_.take_as_done(plan_, done.id, now);
  log.write(shotlog::Intent{name, done.order, due, latest, done.exposure});
  log.write(entry_of(name, done, due, done.why));
  if (done.outcome == Outcome::fired) fill_buffer(std::min(done.at, now));
}

void RigScheduler::order_done(const order::OrderDone& done) {
  if (const auto* issued = orders_.find(done.order); issued != nullptr && !issued->cancelled) {
    // It never came to be in progress.
    if (issued->tried && !issued->started)
      refusals_.not_before = done.at + first_refusal * (1 << std::min(refusals_.in_a_row++, most_doublings));
    // For every frame of it the time had passed: another order like it would fare no better.
    const bool at_hand = issued->step == progress_.step();
    if (!issued->tried && at_hand && step_at_hand().back_to_back) progress_.next_step();
  }
  orders_.done(done.order);
}

void RigScheduler::rig_changed(const order::RigState& state, LogWriter& log) {
  if (state.ready) heard_of_body();
  log.write(shotlog::Fault{plan_.name, state.ready, state.why});
  recovery_.body_is(state.ready);
}

void RigScheduler::learn(IssuedOrder& issued, const order::FrameDone& done) {
  if (!issued.first_opened) issued.first_opened = done.opened;
  if (!issued.step) return;
  const auto& step = plan_.steps[*issued.step];
  if (issued.last_fired > 0 && issued.last_fired + 1 == done.id.frame)
    pace_.with(step.drive)
        .saw(predicted_interval(step.shapes[issued.shape], done.id.frame), done.opened - issued.last_opened);
  issued.last_fired = done.id.frame;
  issued.last_opened = done.opened;
}

void RigScheduler::fill_buffer(Utc at) {
  pace_.buffer.add(at, body::frame_size(plan_.profile, plan_.files));
}

void RigScheduler::heard_of_body() {
  orders_.heard_of_body();
  warned_of_late_frame_ = false;
}

}  // namespace noonfall::run
