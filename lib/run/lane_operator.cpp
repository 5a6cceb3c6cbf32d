// What the operator and the state of the camera filter do to a lane.
#include "lib/run/lane.h"
#include "lib/timeline/shapes.h"

namespace noonfall::run {

void Lane::cancel(Issued& issued, const std::string& why, Output& out) const {
  if (!issued.cancelled) out.to_rigs.push_back({index_, order::Cancel{issued.order.id, why}});
  issued.cancelled = true;
}

void Lane::hold(Output& out) {
  held_ = true;
  for (auto& issued : issued_) cancel(issued, "the rig was held", out);
  cancel_unlogged("the rig was held", out);
}

void Lane::resume(Utc now, Output& out) {
  if (held_ && !plan_.by_hand)
    out.to_rigs.push_back({index_, order::Recover{order::Rung::drain_and_retry, now}});
  held_ = false;
}

void Lane::skip_step(const std::string& name, Output& out) {
  for (auto& issued : issued_) {
    if (issued.step_name == name) cancel(issued, "the operator skipped the step", out);
  }
  remember_skip(name);
}

void Lane::remember_hold(bool held) {
  held_ = held;
}

void Lane::remember_skip(const std::string& name) {
  for (auto step = cursor_.step; step < plan_.steps.size(); ++step) {
    if (plan_.steps[step].name == name) skipped_steps_.insert(step);
  }
}

void Lane::trim(Stops by) {
  trim_ = {trim_.value + by.value};
  for (std::size_t n = 0; n < plan_.steps.size(); ++n) {
    auto& step = plan_.steps[n];
    step.shapes =
        trim_ == Stops{} ? untrimmed_[n] : timeline::trimmed(untrimmed_[n], plan_.profile, step.drive, trim_);
  }
}

void Lane::stop(Output& out) {
  stopped_ = true;
  cursor_.step = plan_.steps.size();
  for (auto& issued : issued_) cancel(issued, std::string{shotlog::stopped}, out);
  cancel_unlogged(std::string{shotlog::stopped}, out);
}

void Lane::set_filter(shotlog::FilterState state, Utc now, Output& out) {
  filter_ = state;
  if (filter_ == shotlog::FilterState::on) return;
  for (auto& issued : issued_) {
    const bool coming = issued.step && now <= issued.order.frames.back().latest;
    if (coming && plan_.steps[*issued.step].filtered)
      cancel(issued, "the camera filter isn't known to be on", out);
  }
}

bool Lane::lacks_filter(const timeline::RigStep& step) const {
  return step.filtered && filter_ != shotlog::FilterState::on;
}

}  // namespace noonfall::run
