#include "lib/run/order_tracker.h"

#include <algorithm>
#include <numeric>
#include <utility>

#include "lib/body/model.h"
#include "lib/run/progress.h"

namespace noonfall::run {
namespace {

using namespace std::chrono_literals;

constexpr std::size_t most_orders = 2;
constexpr Duration report_overdue = 15s;  // after the last shutter should have closed
constexpr Duration worker_patience = 5s;  // a living one is on the line in a moment

/// From then on no word on the order is to be expected.
Utc overdue_from(const IssuedOrder& issued) {
  const auto& last = issued.order.frames.back();
  return last.latest + body::open_time(last.exposure.shutter) + report_overdue;
}

/// Within one plan the operator may have trimmed the exposures meanwhile; another plan's are another set.
bool same_frames(const timeline::SetShape& shape, const std::vector<shotlog::Intent>& frames, Past kind) {
  if (kind == Past::same_plan) return shape.exposures.size() == frames.size();
  return std::equal(shape.exposures.begin(), shape.exposures.end(), frames.begin(), frames.end(),
                    [](const auto& exposure, const auto& intent) { return exposure == intent.exposure; });
}

/// Which of the step's shapes the order had, if the step asks for that order at all.
std::optional<std::size_t> shape_of(const timeline::RigStep& step, const PastOrder& past, Past kind) {
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

IssuedOrder issued_before(const timeline::RigTimeline& plan, std::int32_t rig, const PastOrder& past,
                          Past kind) {
  IssuedOrder out;
  const auto& name = past.frames.front().frame;
  out.step_name = name.step;
  const auto step = std::find_if(plan.steps.begin(), plan.steps.end(),
                                 [&](const timeline::RigStep& each) { return each.name == name.step; });
  if (step != plan.steps.end()) out.unfiltered = !step->filtered;
  const auto shape = step == plan.steps.end() ? std::nullopt : shape_of(*step, past, kind);
  if (shape) {
    out.step = static_cast<std::size_t>(step - plan.steps.begin());
    out.shape = *shape;
    out.order.drive = step->drive;
    out.order.earliest = step->back_to_back ? step->from : past.frames.front().due;
  }
  out.order.id = past.id;
  out.first_opened = past.first_opened;
  out.tried = past.first_opened.has_value();
  for (const auto& intent : past.frames) {
    out.order.frames.push_back({.id = {rig, 0, intent.frame.set, intent.frame.frame},
                                .exposure = intent.exposure,
                                .due = intent.due,
                                .latest = intent.latest});
  }
  out.open = past.open;
  return out;
}

}  // namespace

OrderTracker::OrderTracker(std::int32_t index, const timeline::RigTimeline& plan)
    : index_{index}, rig_{plan.name} {}

void OrderTracker::resume(const timeline::RigTimeline& plan, const PastRig& past, Past kind, Utc now) {
  for (const auto& order : past.open_orders) issued_.push_back(issued_before(plan, index_, order, kind));
  given_up_ = past.unresolved;
  if (!plan.by_hand) worker_awaited_until_ = now + worker_patience;
}

void OrderTracker::attached(const std::vector<order::HeldOrder>& held, std::int64_t last_logged,
                            LogWriter& log, Output& out) {
  const auto before = std::exchange(unlogged_, {});
  const bool first = std::exchange(worker_awaited_until_, std::nullopt).has_value();
  for (const auto& each : held) {
    const bool unlogged = each.order > last_logged && find(each.order) == nullptr;
    if (first ? unlogged : before.contains(each.order)) unlogged_.insert(each.order);
  }
  for (auto issued = issued_.begin(); issued != issued_.end();) {
    const auto found = std::find_if(held.begin(), held.end(), [&](const order::HeldOrder& each) {
      return each.order == issued->order.id;
    });
    if (found == held.end()) {
      give_up(*issued, "the worker that held the order is gone", log);
      issued = issued_.erase(issued);
      continue;
    }
    if (!issued->started) issued->started = found->started;
    if (!issued->step) cancel(*issued, "the plan was amended", out);
    ++issued;
  }
}

bool OrderTracker::unsure_of_worker(Utc now, Output& out) const {
  const bool awaited = worker_awaited_until_ && now < *worker_awaited_until_;
  if (awaited) out.wake_at(*worker_awaited_until_);
  return awaited || !unlogged_.empty();
}

void OrderTracker::issue(IssuedOrder issued, LogWriter& log, Output& out) {
  const auto& order = issued.order;
  for (const auto& frame : order.frames) {
    issued.open.insert(frame.id.frame);
    log.write(shotlog::Intent{name_of(issued, frame.id), order.id, frame.due, frame.latest, frame.exposure});
  }
  out.to_rigs.push_back({index_, order});
  issued_.push_back(std::move(issued));
}

void OrderTracker::cancel(IssuedOrder& issued, const std::string& why, Output& out) const {
  if (!issued.cancelled) out.to_rigs.push_back({index_, order::Cancel{issued.order.id, why}});
  issued.cancelled = true;
}

void OrderTracker::cancel_all(shotlog::SkipReason why, Output& out) {
  cancel_if([](const auto& /*any*/) { return true; }, why, out);
  cancel_unlogged(why, out);
}

void OrderTracker::cancel_unlogged(shotlog::SkipReason why, Output& out) const {
  for (const auto order : unlogged_) out.to_rigs.push_back({index_, order::Cancel{order, sentence(why)}});
}

IssuedOrder* OrderTracker::find(std::int64_t order) {
  const auto found = std::find_if(issued_.begin(), issued_.end(),
                                  [&](const IssuedOrder& issued) { return issued.order.id == order; });
  return found == issued_.end() ? nullptr : &*found;
}

void OrderTracker::done(std::int64_t order) {
  unlogged_.erase(order);
  std::erase_if(issued_, [&](const IssuedOrder& issued) { return issued.order.id == order; });
}

void OrderTracker::close_overdue(Utc now, LogWriter& log, Output& out) {
  while (!issued_.empty() && now >= overdue_from(issued_.front())) {
    give_up(issued_.front(), "no word came from the rig", log);
    cancel(issued_.front(), "no word came from the rig", out);
    issued_.pop_front();
  }
}

/// A rig works on its orders in turn: of the second no word is due while the first is in progress.
void OrderTracker::wake_when_overdue(Output& out) const {
  if (!issued_.empty()) out.wake_at(overdue_from(issued_.front()));
}

const order::OrderedFrame* OrderTracker::take_open(IssuedOrder& issued, const order::FrameId& id) {
  const auto& frames = issued.order.frames;
  const auto frame = std::find_if(frames.begin(), frames.end(), [&](const order::OrderedFrame& each) {
    return each.id.set == id.set && each.id.frame == id.frame;
  });
  return frame != frames.end() && issued.open.erase(id.frame) > 0 ? &*frame : nullptr;
}

std::optional<Unresolved> OrderTracker::take_given_up(const order::FrameDone& done) {
  const auto found = std::find_if(given_up_.begin(), given_up_.end(), [&](const Unresolved& each) {
    return each.order == done.order && each.name.set == done.id.set && each.name.frame == done.id.frame;
  });
  if (found == given_up_.end()) return std::nullopt;
  auto taken = std::move(*found);
  given_up_.erase(found);
  return taken;
}

shotlog::FrameName OrderTracker::name_of(const IssuedOrder& issued, const order::FrameId& id) const {
  return {rig_, issued.step_name, id.set, id.frame};
}

bool OrderTracker::full() const {
  return issued_.size() >= most_orders;
}

std::size_t OrderTracker::open_frames() const {
  return std::accumulate(issued_.begin(), issued_.end(), std::size_t{0},
                         [](std::size_t sum, const IssuedOrder& each) { return sum + each.open.size(); });
}

bool OrderTracker::may_fire_unfiltered() const {
  return may_fire_ || std::any_of(issued_.begin(), issued_.end(), [](const IssuedOrder& issued) {
           return issued.unfiltered && !issued.open.empty();
         });
}

/// No word is to be expected on the frames still open; a late one resolves them.
void OrderTracker::give_up(IssuedOrder& issued, const std::string& why, LogWriter& log) {
  if (!issued.open.empty()) left_in_doubt(issued);
  for (const auto& frame : issued.order.frames) {
    if (issued.open.erase(frame.id.frame) == 0) continue;
    const auto name = name_of(issued, frame.id);
    given_up_.push_back({issued.order.id, name, frame.due});
    log.write(shotlog::FrameOutcome{.frame = name,
                                    .result = order::Outcome::unknown,
                                    .due = frame.due,
                                    .exposure = frame.exposure,
                                    .why = why});
  }
}

}  // namespace noonfall::run
