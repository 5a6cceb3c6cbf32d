#include "lib/run/planner.h"

#include <algorithm>

#include "lib/body/model.h"
#include "lib/timeline/exposures.h"
#include "lib/timeline/rules.h"

namespace noonfall::run {
namespace {

using namespace std::chrono_literals;
using shotlog::SkipReason;

constexpr Duration issue_ahead = 2s;  // before the settings go out, so that the order is there in time
constexpr double doubt =
    0.25;  // of a set's cycle: by no more is the prediction of a set's start likely to be wrong

class Planner {
 public:
  Planner(const timeline::RigTimeline& plan, const Situation& at)
      : plan_{plan}, at_{at}, step_{plan.steps[at.progress.step()]} {}

  [[nodiscard]] Next next() const {
    if (at_.progress.left_before()) return LeaveStep{};
    if (at_.skipped) return LeaveStep{SkipReason::skipped};
    return step_.back_to_back ? next_back_to_back() : next_target();
  }

 private:
  [[nodiscard]] Next next_target() const {
    if (at_.progress.sets() >= step_.targets.size()) return LeaveStep{};
    if (at_.progress.set_number() == 0) return LeaveSet{};
    const auto& target = step_.targets[at_.progress.sets()];
    auto order = target_order(target);
    const auto latest = order.frames.front().latest;
    const auto issue_from = order.prepare_from - issue_ahead;
    if (at_.now < issue_from) return Wait{issue_from};
    if (at_.now > latest || at_.held) return LeaveSet{why_left()};
    if (lacks_filter()) return Wait{latest + Duration{1}};
    return Issue{std::move(order), target.shape};
  }

  [[nodiscard]] Next next_back_to_back() const {
    const auto issue_from = step_.from - step_.lead - issue_ahead;
    if (at_.now < issue_from) return Wait{issue_from};
    if ((at_.held || lacks_filter()) && at_.now < step_.until) return Wait{step_.until};
    if (at_.now < at_.not_before) return Wait{at_.not_before};
    // The next set is decided when the one before has started, with the newest knowledge of the body's pace.
    const auto& issued = at_.orders.orders();
    if (!issued.empty() && !issued.back().started) return Wait{};
    // A burst was asked for as long as it can last; whether time is left is known only when it has ended.
    if (in_progress() && burst()) return Wait{};
    const auto opening = predicted_opening();
    // It is one order as long as span and buffer allow, since stopping and starting it costs frames.
    const auto repeats = burst() ? timeline::fit_sets(plan_, step_, opening, at_.pace.buffer).sets : 1;
    auto order = back_to_back_order(opening, std::max(repeats, 1));
    const bool fits = opening <= order.frames.front().latest && !at_.held;
    // The first burst is tried even if the model sees no room for it: the body may know better.
    const bool room =
        burst() ? repeats > 0 || at_.progress.sets() == 0 : leaves_room(order.frames.size(), opening);
    if (fits && room) return Issue{std::move(order), shape_due()};
    return after_last_set(order, opening, fits);
  }

  /// No further set has room, as far as can be told now.
  [[nodiscard]] Next after_last_set(const order::Order& order, Utc opening, bool fits) const {
    const auto hope = from_seconds(in_seconds(step_.shapes[shape_due()].cycle) * doubt);
    if (!fits && in_progress() && opening < order.frames.front().latest + hope) return Wait{};
    if (at_.progress.sets() > 0) return LeaveStep{};
    return LeaveStep{fits ? SkipReason::no_room : why_left()};
  }

  [[nodiscard]] order::Order target_order(const timeline::Target& target) const {
    const auto& shape = step_.shapes[target.shape];
    auto order = empty_order(target.due);
    for (std::size_t n = 0; n < shape.exposures.size(); ++n) {
      const auto due = target.due + shape.offsets[n];
      // A burst can't be stopped frame by frame: all its frames share the last one's instant.
      const auto planned = burst() ? target.due + shape.offsets.back() : due;
      add_frame(order, shape.exposures[n], due, planned + step_.patience);
    }
    if (step_.drive == body::Drive::bracket) end_in_time(order, shape.lasts);
    return order;
  }

  [[nodiscard]] order::Order back_to_back_order(Utc opening, int repeats) const {
    const auto& shape = step_.shapes[shape_due()];
    auto order = empty_order(step_.from);
    for (int r = 0; r < repeats; ++r) {
      const auto begins = opening + r * stretched(shape.cycle);
      for (std::size_t n = 0; n < shape.exposures.size(); ++n)
        add_frame(order, shape.exposures[n], begins + stretched(shape.offsets[n]), Utc::max());
    }
    if (order.whole_or_none) end_in_time(order, stretched(shape.lasts));
    return order;
  }

  void end_in_time(order::Order& order, Duration lasts) const {
    auto& first = order.frames.front().latest;
    first = std::min(first, step_.until - lasts);
  }

  [[nodiscard]] order::Order empty_order(Utc earliest) const {
    return {
        .frames = {},
        .drive = step_.drive,
        .prepare_from = earliest - step_.lead,
        .earliest = earliest,
        .closed_by = step_.until,
        .whole_or_none = step_.unfinished == plan::Unfinished::drop || step_.drive == body::Drive::bracket};
  }

  /// Its shutter is closed when the step ends, however late `latest` is.
  void add_frame(order::Order& order, const exposure::Exposure& exposure, Utc due, Utc latest) const {
    order.frames.push_back({.id = {.rig = at_.rig,
                                   .step = static_cast<std::int32_t>(at_.progress.step()),
                                   .set = at_.progress.set_number(),
                                   .frame = static_cast<std::int32_t>(order.frames.size()) + 1},
                            .exposure = exposure,
                            .due = due,
                            .latest = std::min(latest, step_.until - body::open_time(exposure.shutter))});
  }

  [[nodiscard]] Utc predicted_opening() const {
    const auto opening = std::max(step_.from, at_.now);
    if (at_.orders.orders().empty()) return opening;
    const auto& before = at_.orders.orders().back();
    if (!before.step) return opening;
    const auto& before_step = plan_.steps[*before.step];
    const auto& pace = at_.pace.with(before_step.drive);
    const auto& shape = before_step.shapes[before.shape];
    const auto& first = before.order.frames.front();
    const auto repeats = static_cast<std::int64_t>(before.order.frames.size() / shape.exposures.size());
    auto began = first.due;
    if (before.started) {
      const auto ready =
          body::setting_time(plan_.profile, nullptr, first.exposure) + plan_.profile.release.typical;
      began = before.first_opened.value_or(*before.started + pace.stretched(ready));
      began = std::max(began, before.order.earliest);
    }
    auto over = began + pace.stretched(shape.cycle * repeats);
    // The last set of another step is cut short where that step ends.
    if (*before.step != at_.progress.step())
      over = std::min(over, before_step.until + timeline::change_over(plan_, before_step, step_));
    return std::max(opening, over);
  }

  [[nodiscard]] bool leaves_room(std::size_t frames, Utc opening) const {
    if (step_.leave_free_frames == 0) return true;
    const auto size = body::frame_size(plan_.profile, plan_.files);
    auto buffer = at_.pace.buffer;
    for (std::size_t n = 0; n < frames + at_.orders.open_frames(); ++n) buffer.add(opening, size);
    return buffer.room_for(step_.leave_free_frames, size, step_.until);
  }

  [[nodiscard]] bool burst() const { return step_.drive == body::Drive::continuous; }
  [[nodiscard]] bool lacks_filter() const { return step_.filtered && !at_.filter_on; }
  [[nodiscard]] std::size_t shape_due() const { return at_.progress.sets() % step_.shapes.size(); }
  [[nodiscard]] bool in_progress() const {
    return !at_.orders.orders().empty() && at_.orders.orders().back().step == at_.progress.step();
  }
  [[nodiscard]] Duration stretched(Duration predicted) const {
    return at_.pace.with(step_.drive).stretched(predicted);
  }
  [[nodiscard]] SkipReason why_left() const {
    return at_.held ? SkipReason::held : lacks_filter() ? SkipReason::no_filter : SkipReason::late;
  }

  const timeline::RigTimeline& plan_;
  const Situation& at_;
  const timeline::RigStep& step_;
};

}  // namespace

Next next_order(const timeline::RigTimeline& plan, const Situation& at) {
  return Planner{plan, at}.next();
}

}  // namespace noonfall::run
