// What the reports of a rig do to its scheduler.
#include <algorithm>
#include <string>
#include <utility>

#include "lib/base/match.h"
#include "lib/body/model.h"
#include "lib/run/rig_scheduler.h"

namespace noonfall::run {
namespace {

using order::Outcome;
using shotlog::SkipReason;

constexpr int refusals_until_alarm = 3;

shotlog::Entry entry_of(shotlog::FrameName name, const order::FrameDone& done, Utc due, std::string why,
                        SkipReason reason = SkipReason::other) {
  if (done.outcome == Outcome::skipped) return shotlog::Skip{std::move(name), due, reason, std::move(why)};
  return shotlog::FrameOutcome{
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

void RigScheduler::take(const order::Report& report, Utc now, LogWriter& log) {
  std::visit(Match{[&](const order::OrderStarted& started) { order_started(started); },
                   [&](const order::FrameDone& done) {
                     if (done.id.rig == index_) frame_done(done, now, log);
                   },
                   [&](const order::OrderDone& done) { order_done(done, log); },
                   [&](const order::RigState& state) {
                     if (state.rig == index_) rig_changed(state, now, log);
                   }},
             report);
}

void RigScheduler::order_started(const order::OrderStarted& started) {
  auto* issued = orders_.find(started.order);
  if (issued == nullptr) return;
  issued->started = started.at;
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
  const bool worked =
      done.outcome == Outcome::fired || (done.outcome == Outcome::unknown && done.opened != Utc{});
  issued->taken += worked ? 1 : 0;
  if (worked) look_at_exposure(*issued, done, frame->exposure, log);
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

void RigScheduler::order_done(const order::OrderDone& done, LogWriter& log) {
  if (const auto* issued = orders_.find(done.order); issued != nullptr && !issued->cancelled) {
    if (issued->tried && !issued->started)
      restraint_.put_off_at(done.at);
    else if (issued->tried && issued->taken == 0)
      came_to_nothing(*issued, done.at, log);
    const bool at_hand = issued->step == progress_.step();
    if (issued->taken > 0 && issued->step) {
      const auto& shape = plan_.steps[*issued->step].shapes[issued->shape];
      restraint_.took(issued->issued,
                      shape.cycle * issued->taken / static_cast<std::int64_t>(shape.exposures.size()));
    }
    // For every frame of it the time had passed: another order like it would fare no better.
    if (!issued->tried && at_hand && step_at_hand().back_to_back) progress_.next_step();
  }
  orders_.done(done.order);
}

/// A person is told once for each row of them.
void RigScheduler::came_to_nothing(const IssuedOrder& issued, Utc when, LogWriter& log) {
  restraint_.refused_at(when);
  if (restraint_.refused() != refusals_until_alarm || !faults_.admit(when)) return;
  log.write(shotlog::BodyNews{plan_.name, !recovery_.away(),
                              "the body refuses the frames of step " + issued.step_name +
                                  " one after the other: it is asked again after pauses, and then no more"});
}

/// Where the first frame of a step is exposed otherwise, the others will be.
void RigScheduler::look_at_exposure(const IssuedOrder& issued, const order::FrameDone& done,
                                    const exposure::Exposure& asked, LogWriter& log) {
  if (done.exposure == asked || exposed_wrongly_ == issued.step_name) return;
  exposed_wrongly_ = issued.step_name;
  log.write(shotlog::BodyNews{plan_.name, !recovery_.away(),
                              "wrong exposure in step " + issued.step_name + ": " +
                                  exposure::to_text(done.exposure) + " instead of " +
                                  exposure::to_text(asked) + "; look at the body's mode dial"});
}

void RigScheduler::rig_changed(const order::RigState& state, Utc now, LogWriter& log) {
  const bool spare = !state.spare.empty();
  if (state.ready && !spare) heard_of_body();  // the other tells nothing of what this one may still do
  if (faults_.admit(now))
    log.write(shotlog::BodyNews{plan_.name, state.ready,
                                spare ? "goes on with its spare, serial number " + state.spare : state.why});
  recovery_.body_is(state.ready, now, spare);
}

void RigScheduler::tell_left_out(Utc now, LogWriter& log, Output& out) {
  if (const auto count = faults_.take_left_out(now); count > 0)
    log.write(shotlog::Note{std::to_string(count) + " more reports of rig " + plan_.name +
                            " are left out of the log"});
  if (const auto due = faults_.due()) out.wake_at(*due);
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
