#include "lib/run/progress.h"

#include <algorithm>

namespace noonfall::run {

bool same_instant(Utc one, Utc other) {
  return std::chrono::abs(one - other) <= std::chrono::milliseconds{10};
}

void Progress::resume(const timeline::RigTimeline& plan, const std::map<std::string, PastStep>& past,
                      Utc now) {
  for (std::size_t n = 0; n < plan.steps.size(); ++n) {
    const auto found = past.find(plan.steps[n].name);
    if (found != past.end()) begun_[n] = begun(plan.steps[n], found->second, now);
  }
  enter(0);
}

Progress::Begun Progress::begun(const timeline::RigStep& step, const PastStep& past, Utc now) {
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
    out.numbers.push_back(done || (taken && due <= now) ? 0 : taken ? ++fresh : number);
  }
  return out;
}

const Progress::Begun* Progress::at_hand() const {
  const auto found = begun_.find(step_);
  return found == begun_.end() ? nullptr : &found->second;
}

std::int32_t Progress::set_number() const {
  const auto* before = at_hand();
  return before == nullptr || before->numbers.empty() ? set_ + 1 : before->numbers[sets()];
}

bool Progress::left_before() const {
  const auto* before = at_hand();
  return before != nullptr && before->passed_over;
}

void Progress::enter(std::size_t step) {
  step_ = step;
  const auto* before = at_hand();
  set_ = before != nullptr && before->numbers.empty() ? before->last_set : 0;
}

void Progress::take_as_done(const timeline::RigTimeline& plan, const order::FrameId& frame, Utc now) {
  const auto index = static_cast<std::size_t>(frame.step);
  const auto& step = plan.steps[index];
  auto& before = begun_.try_emplace(index, begun(step, {}, now)).first->second;
  before.last_set = std::max(before.last_set, frame.set);
  if (step.back_to_back && step_ == index) set_ = std::max(set_, frame.set);
  std::replace(before.numbers.begin(), before.numbers.end(), frame.set, 0);
}

}  // namespace noonfall::run
