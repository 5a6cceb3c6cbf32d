// How a lane goes on with what an earlier core began.
#include <algorithm>
#include <utility>

#include "lib/body/model.h"
#include "lib/run/lane.h"

namespace noonfall::run {

using namespace std::chrono_literals;

namespace {

constexpr Duration worker_patience = 5s;  // a living one is on the line in a moment

bool same_instant(Utc one, Utc other) {
  return one - other <= 10ms && other - one <= 10ms;
}

/// Within one plan the operator may have trimmed the exposures meanwhile; another plan's are another set.
bool same_frames(const timeline::SetShape& shape, const std::vector<shotlog::Intent>& frames,
                 Lane::Past kind) {
  if (kind == Lane::Past::same_plan) return shape.exposures.size() == frames.size();
  return std::equal(shape.exposures.begin(), shape.exposures.end(), frames.begin(), frames.end(),
                    [](const auto& exposure, const auto& intent) { return exposure == intent.exposure; });
}

/// Which of the step's shapes the order had, if the step asks for that order at all.
std::optional<std::size_t> shape_of(const timeline::RigStep& step, const PastOrder& past, Lane::Past kind) {
  const auto& first = past.frames.front();
  if (step.back_to_back) {
    const bool inside = first.due >= step.from && past.frames.back().latest <= step.until;
    const auto shape = (static_cast<std::size_t>(first.frame.set) - 1) % step.shapes.size();
    return inside ? std::optional{shape} : std::nullopt;
  }
  for (const auto& target : step.targets) {
    if (same_instant(target.due, first.due) && same_frames(step.shapes[target.shape], past.frames, kind))
      return target.shape;
  }
  return std::nullopt;
}

}  // namespace

void Lane::resume(const PastLane& past, Past kind, Utc now, Output& out) {
  for (std::size_t n = 0; n < plan_.steps.size(); ++n) {
    const auto found = past.steps.find(plan_.steps[n].name);
    if (found != past.steps.end()) begun_[n] = begun(plan_.steps[n], found->second, now);
  }
  if (!plan_.by_hand) enter_step(0);
  for (const auto& order : past.open_orders) issued_.push_back(issued_before(order, kind));
  for (auto& issued : issued_) {
    if (held_) cancel(issued, "the rig was held", out);
    if (issued.step && skipped_steps_.contains(*issued.step))
      cancel(issued, "the operator skipped the step", out);
  }
  for (const auto& frame : past.unresolved)
    given_up_[{frame.order, frame.name.set, frame.name.frame}] = frame;
  if (!plan_.by_hand) worker_awaited_until_ = now + worker_patience;
  for (const auto opened : past.opened) buffer_.add(opened, body::frame_size(plan_.profile, plan_.files));
}

Lane::Begun Lane::begun(const timeline::RigStep& step, const PastStep& past, Utc now) const {
  Begun out;
  out.passed_over = past.passed_over;
  if (!past.sets.empty()) out.last_set = past.sets.rbegin()->first;
  auto fresh = std::max(out.last_set, static_cast<std::int32_t>(step.targets.size()));
  for (std::size_t n = 0; n < step.targets.size(); ++n) {
    const auto number = static_cast<std::int32_t>(n) + 1;
    const auto due = step.targets[n].due;
    const bool done = std::any_of(past.sets.begin(), past.sets.end(),
                                  [&](const auto& set) { return same_instant(set.second, due); });
    // Under an amended plan the number may be another set's.
    const bool taken = past.sets.contains(number);
    if (done || (taken && due <= now)) {
      out.numbers.push_back(0);
    } else {
      out.numbers.push_back(taken ? ++fresh : number);
    }
  }
  return out;
}

Lane::Issued Lane::issued_before(const PastOrder& past, Past kind) const {
  Issued out;
  const auto& name = past.frames.front().frame;
  out.step_name = name.step;
  const auto step = std::find_if(plan_.steps.begin(), plan_.steps.end(),
                                 [&](const timeline::RigStep& each) { return each.name == name.step; });
  const auto shape = step == plan_.steps.end() ? std::nullopt : shape_of(*step, past, kind);
  if (shape) {
    out.step = static_cast<std::size_t>(step - plan_.steps.begin());
    out.shape = *shape;
    out.order.drive = step->drive;
    out.order.earliest = step->back_to_back ? step->from : past.frames.front().due;
  }
  out.order.id = past.id;
  out.first_opened = past.first_opened;
  out.tried = past.first_opened.has_value();
  for (const auto& intent : past.frames) {
    out.order.frames.push_back(
        {{index_, 0, intent.frame.set, intent.frame.frame}, intent.exposure, intent.due, intent.latest});
  }
  for (const auto frame : past.open) out.open.emplace(name.set, frame);
  return out;
}

void Lane::attached(const std::vector<order::HeldOrder>& held, std::int64_t last_logged, Scribe& scribe,
                    Output& out) {
  const auto before = std::exchange(unlogged_, {});
  const bool first = std::exchange(worker_awaited_until_, std::nullopt).has_value();
  for (const auto& each : held) {
    const bool unlogged = each.order > last_logged && find_issued(each.order) == nullptr;
    if (first ? unlogged : before.contains(each.order)) unlogged_.insert(each.order);
  }
  for (auto issued = issued_.begin(); issued != issued_.end();) {
    const auto found = std::find_if(held.begin(), held.end(), [&](const order::HeldOrder& each) {
      return each.order == issued->order.id;
    });
    if (found == held.end()) {
      give_up(*issued, "the worker that held the order is gone", scribe);
      issued = issued_.erase(issued);
      continue;
    }
    if (!issued->started) issued->started = found->started;
    if (!issued->step) cancel(*issued, "the plan was amended", out);
    ++issued;
  }
  if (held_) cancel_unlogged("the rig was held", out);
}

void Lane::cancel_unlogged(const std::string& why, Output& out) const {
  for (const auto order : unlogged_) out.to_rigs.push_back({index_, order::Cancel{order, why}});
}

/// Nothing is asked for before it is known what an earlier core asked for.
bool Lane::unsure_of_worker(Utc now, Output& out) const {
  const bool awaited = worker_awaited_until_ && now < *worker_awaited_until_;
  if (awaited) wake_at(*worker_awaited_until_, out);
  return awaited || !unlogged_.empty();
}

/// The word on a frame that no log knows of is all there is of it.
void Lane::unlogged_done(const order::FrameDone& done, Utc now, Scribe& scribe) {
  const auto step = static_cast<std::size_t>(done.id.step);
  if (!unlogged_.contains(done.order) || step >= plan_.steps.size()) return;
  const shotlog::FrameName name{plan_.rig, plan_.steps[step].name, done.id.set, done.id.frame};
  const auto due = take_as_done(done, now);
  const auto latest = plan_.steps[step].until - body::open_time(done.exposure.shutter);
  scribe.write(shotlog::Intent{name, done.order, due, latest, done.exposure});
  scribe.write(word_on(name, done, due, done.why));
  if (done.outcome == order::Outcome::fired)
    buffer_.add(std::min(done.at, now), body::frame_size(plan_.profile, plan_.files));
}

/// Its set isn't asked for again. When the frame was due, as far as that is known.
Utc Lane::take_as_done(const order::FrameDone& done, Utc now) {
  const auto index = static_cast<std::size_t>(done.id.step);
  const auto& step = plan_.steps[index];
  auto& before = begun_.try_emplace(index, begun(step, {}, now)).first->second;
  before.last_set = std::max(before.last_set, done.id.set);
  if (step.back_to_back && cursor_.step == index) cursor_.set = std::max(cursor_.set, done.id.set);
  const auto reported = done.outcome == order::Outcome::fired ? done.opened : done.at;
  if (step.back_to_back || done.id.set < 1 || done.id.frame < 1) return reported;
  const auto set = static_cast<std::size_t>(done.id.set) - 1;
  const auto number = std::find(before.numbers.begin(), before.numbers.end(), done.id.set);
  if (number != before.numbers.end()) *number = 0;
  if (set >= step.targets.size()) return reported;
  const auto& offsets = step.shapes[step.targets[set].shape].offsets;
  const auto frame = static_cast<std::size_t>(done.id.frame) - 1;
  return frame < offsets.size() ? step.targets[set].due + offsets[frame] : reported;
}

}  // namespace noonfall::run
