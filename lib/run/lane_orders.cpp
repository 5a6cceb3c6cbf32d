// Which orders a lane would give: their frames, instants and lengths.
#include <algorithm>

#include "lib/body/model.h"
#include "lib/run/lane.h"

namespace noonfall::run {

using namespace std::chrono_literals;

order::Order Lane::target_order(const timeline::RigStep& step, const timeline::Target& target) const {
  const auto& shape = step.shapes[target.shape];
  order::Order order;
  order.drive = step.drive;
  order.earliest = target.due;
  order.prepare_from = target.due - step.lead;
  order.closed_by = step.until;
  order.whole_or_none = step.unfinished == plan::Unfinished::drop;
  for (std::size_t n = 0; n < shape.exposures.size(); ++n) {
    const auto due = target.due + shape.offsets[n];
    // A burst can't be stopped frame by frame: all its frames share the last one's instant.
    const auto planned = step.drive == body::Drive::continuous ? target.due + shape.offsets.back() : due;
    const auto latest =
        std::min(planned + step.patience, step.until - body::open_time(shape.exposures[n].shutter));
    order.frames.push_back(
        {{index_, static_cast<std::int32_t>(cursor_.step), set_number(), static_cast<std::int32_t>(n) + 1},
         shape.exposures[n],
         due,
         latest});
  }
  return order;
}

order::Order Lane::back_to_back_order(const timeline::RigStep& step, Utc opening, std::size_t repeats) const {
  const auto& shape = step.shapes[shape_due(step)];
  order::Order order;
  order.drive = step.drive;
  order.earliest = step.from;
  order.prepare_from = step.from - step.lead;
  order.closed_by = step.until;
  order.whole_or_none = step.unfinished == plan::Unfinished::drop;
  const auto interval = stretched(step, shape.cycle);
  for (std::size_t r = 0; r < repeats; ++r) {
    for (std::size_t n = 0; n < shape.exposures.size(); ++n) {
      const auto due = opening + static_cast<std::int64_t>(r) * interval + stretched(step, shape.offsets[n]);
      order.frames.push_back({{index_, static_cast<std::int32_t>(cursor_.step), set_number(),
                               static_cast<std::int32_t>(order.frames.size()) + 1},
                              shape.exposures[n],
                              due,
                              step.until - body::open_time(shape.exposures[n].shutter)});
    }
  }
  if (order.whole_or_none) {
    auto& first = order.frames.front().latest;
    first = std::min(first, step.until - stretched(step, shape.lasts));
  }
  return order;
}

/// A burst is one order as long as span and buffer allow, since stopping and starting it costs frames.
std::size_t Lane::burst_length(const timeline::RigStep& step, Utc opening) const {
  std::vector<std::vector<exposure::Exposure>> turn;
  for (const auto& shape : step.shapes) turn.push_back(shape.exposures);
  const auto fit = body::fit_sets(plan_.profile, step.drive, plan_.files, turn, opening, step.until, buffer_,
                                  step.leave_free_frames);
  return static_cast<std::size_t>(fit.sets);
}

Utc Lane::predicted_opening(Utc now, const timeline::RigStep& step) const {
  auto opening = std::max(step.from, now);
  if (issued_.empty()) return opening;
  const auto& before = issued_.back();
  if (!before.step) return opening;
  const auto& before_step = plan_.steps[*before.step];
  const auto& shape = before_step.shapes[before.shape];
  const auto repeats = static_cast<std::int64_t>(before.order.frames.size() / shape.exposures.size());
  auto began = before.order.frames.front().due;
  if (before.started) {
    const auto& first = before.order.frames.front().exposure;
    const auto ready = body::setting_time(plan_.profile, nullptr, first) + plan_.profile.release.typical;
    began = before.first_opened.value_or(*before.started + stretched(before_step, ready));
    began = std::max(began, before.order.earliest);
  }
  return std::max(opening, began + stretched(before_step, shape.cycle * repeats));
}

bool Lane::leaves_room(const timeline::RigStep& step, std::size_t frames, Utc opening) const {
  if (step.leave_free_frames == 0) return true;
  const auto size = body::frame_size(plan_.profile, plan_.files);
  auto buffer = buffer_;
  std::size_t coming = frames;
  for (const auto& issued : issued_) coming += issued.open.size();
  for (std::size_t n = 0; n < coming; ++n) buffer.add(opening, size);
  return buffer.room_for(step.leave_free_frames, size, step.until);
}

Utc Lane::next_due() const {
  for (auto n = cursor_.step; n < plan_.steps.size(); ++n) {
    const auto& step = plan_.steps[n];
    if (step.back_to_back) return step.from - step.lead;
    const auto set = n == cursor_.step ? static_cast<std::size_t>(cursor_.set) : 0;
    if (set < step.targets.size()) return step.targets[set].due - step.lead;
  }
  return Utc::max();
}

Duration Lane::stretched(const timeline::RigStep& step, Duration predicted) const {
  return step.drive == body::Drive::continuous ? burst_pace_.stretched(predicted)
                                               : single_pace_.stretched(predicted);
}

}  // namespace noonfall::run
