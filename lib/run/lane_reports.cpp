#include <algorithm>

#include "lib/base/match.h"
#include "lib/body/model.h"
#include "lib/run/lane.h"

namespace noonfall::run {
namespace {

using namespace std::chrono_literals;

}  // namespace

shotlog::Entry RigScheduler::word_on(shotlog::FrameName name, const order::FrameDone& done, Utc due,
                                     std::string why) {
  if (done.outcome == order::Outcome::skipped) return shotlog::Skip{std::move(name), due, std::move(why)};
  const auto opened = done.outcome == order::Outcome::fired ? std::optional{done.opened} : std::nullopt;
  return shotlog::Outcome{std::move(name), done.outcome, due,           opened,
                          done.exposure,   done.files,   std::move(why)};
}

void RigScheduler::take(const order::Report& report, Utc now, LogWriter& log) {
  std::visit(Match{[&](const order::OrderStarted& started) {
                     auto* issued = find_issued(started.order);
                     if (issued == nullptr) return;
                     issued->started = started.at;
                     refusals_ = 0;
                   },
                   [&](const order::FrameDone& done) { frame_done(done, now, log); },
                   [&](const order::OrderDone& done) { order_done(done); },
                   [&](const order::RigState& state) {
                     if (state.rig == index_) rig_changed(state, log);
                   }},
             report);
}

RigScheduler::Issued* RigScheduler::find_issued(std::int64_t order) {
  const auto found = std::find_if(issued_.begin(), issued_.end(),
                                  [&](const Issued& issued) { return issued.order.id == order; });
  return found == issued_.end() ? nullptr : &*found;
}

void RigScheduler::order_done(const order::OrderDone& done) {
  unlogged_.erase(done.order);
  const auto* issued = find_issued(done.order);
  if (issued == nullptr) return;
  if (issued->tried && !issued->started && !issued->cancelled) refused(done.at);
  // For every frame of it the time had passed: another order like it would fare no better.
  const bool over = !issued->tried && !issued->cancelled && issued->step == cursor_.step;
  if (over && plan_.steps[cursor_.step].back_to_back) next_step();
  issued_.erase(issued_.begin() + (issued == &issued_.front() ? 0 : 1));
}

/// It never came to be in progress. The next one may fare better, but not at once.
void RigScheduler::refused(Utc at) {
  constexpr int most_doublings = 5;
  not_again_before_ = at + 250ms * (1 << std::min(refusals_++, most_doublings));
}

void RigScheduler::frame_done(const order::FrameDone& done, Utc now, LogWriter& log) {
  if (done.id.rig != index_) return;
  if (done.outcome == order::Outcome::fired || done.outcome == order::Outcome::failed) heard_of_body();
  auto* issued = find_issued(done.order);
  if (issued == nullptr) {
    // Given up as unknown before; the late word resolves it. Anything else was never ours to count.
    const auto late = given_up_.find({done.order, done.id.set, done.id.frame});
    if (late == given_up_.end()) return unlogged_done(done, now, log);
    log.write(
        word_on(late->second.name, done, late->second.due, done.why.empty() ? "reported late" : done.why));
    given_up_.erase(late);
    return;
  }
  if (issued->open.erase(place_of(done.id)) == 0) return;
  const auto& frames = issued->order.frames;
  const auto frame = std::find_if(frames.begin(), frames.end(), [&](const auto& candidate) {
    return place_of(candidate.id) == place_of(done.id);
  });
  const bool over = issued->step && plan_.steps[*issued->step].back_to_back &&
                    done.outcome == order::Outcome::skipped && !away_;
  log.write(word_on(name_of(*issued, done.id), done, frame->due,
                    over ? std::string{shotlog::step_over} : done.why));
  issued->tried = issued->tried || done.outcome != order::Outcome::skipped;
  if (done.outcome == order::Outcome::fired || done.outcome == order::Outcome::unknown) {
    buffer_.add(std::min(done.at, now), body::frame_size(plan_.profile, plan_.files));
  }
  if (done.outcome == order::Outcome::unknown) may_fire_ = may_fire_ || is_unfiltered(issued->step_name);
  if (done.outcome == order::Outcome::fired) learn(*issued, done);
}

void RigScheduler::learn(Issued& issued, const order::FrameDone& done) {
  if (!issued.first_opened) issued.first_opened = done.opened;
  if (!issued.step) return;
  const auto& shape = plan_.steps[*issued.step].shapes[issued.shape];
  const auto size = static_cast<std::int32_t>(shape.exposures.size());
  const auto before = issued.last_fired;
  if (before && before->frame + 1 == done.id.frame) {
    const auto at = (before->frame - 1) % size;
    const bool wraps = at + 1 == size;
    const auto predicted =
        wraps ? shape.cycle - shape.offsets[static_cast<std::size_t>(at)]
              : shape.offsets[static_cast<std::size_t>(at) + 1] - shape.offsets[static_cast<std::size_t>(at)];
    const bool burst = plan_.steps[*issued.step].drive == body::Drive::continuous;
    (burst ? burst_pace_ : single_pace_).saw(predicted, done.opened - issued.last_opened);
  }
  issued.last_fired = done.id;
  issued.last_opened = done.opened;
}

void RigScheduler::heard_of_body() {
  may_fire_ = false;
  warned_of_late_frame_ = false;
}

void RigScheduler::rig_changed(const order::RigState& state, LogWriter& log) {
  if (state.ready) heard_of_body();
  log.write(shotlog::Fault{plan_.name, state.ready, state.why});
  if (!state.ready && !away_) {
    recovery_until_ = Utc::min();
    recoveries_ = 0;
  }
  away_ = !state.ready;
}

shotlog::FrameName RigScheduler::name_of(const Issued& issued, const order::FrameId& id) const {
  return {plan_.name, issued.step_name, id.set, id.frame};
}

/// No word is to be expected on the frames still open; a late one resolves them.
void RigScheduler::give_up(Issued& issued, const std::string& why, LogWriter& log) {
  for (const auto& frame : issued.order.frames) {
    if (issued.open.erase(place_of(frame.id)) == 0) continue;
    may_fire_ = may_fire_ || is_unfiltered(issued.step_name);
    auto name = name_of(issued, frame.id);
    given_up_[{issued.order.id, name.set, name.frame}] = {issued.order.id, name, frame.due};
    log.write(shotlog::Outcome{
        std::move(name), order::Outcome::unknown, frame.due, std::nullopt, frame.exposure, {}, why});
  }
}

}  // namespace noonfall::run
