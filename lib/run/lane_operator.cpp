// What the operator and the filter window do to a lane.
#include <fmt/format.h>

#include "lib/run/lane.h"
#include "lib/timeline/shapes.h"

namespace noonfall::run {

using shotlog::FilterState;

namespace {

// A core that comes to an edge later than this wasn't there to speak the cue.
constexpr Duration longest_silence = std::chrono::seconds{5};

}  // namespace

void Lane::keep_filter_state(Utc now, Scribe& scribe, Output& out) {
  if (!plan_.window) return;
  const Utc edges[2] = {plan_.window->opens, plan_.window->closes};
  for (; filter_edges_passed_ < 2; ++filter_edges_passed_) {
    const auto edge = edges[filter_edges_passed_];
    if (now < edge) return wake_at(edge, out);
    const bool opened = filter_edges_passed_ == 0;
    const auto assumed = assume(opened, now - edge, scribe.clock().grade);
    scribe.write(shotlog::FilterChange{
        plan_.rig, assumed.state, false,
        fmt::format("the filter window {}{}", opened ? "opened" : "closed", assumed.but)});
  }
}

/// What a person is taken to have done at an edge of the window, by what was said there.
Lane::Assumed Lane::assume(bool opened, Duration late, shotlog::ClockGrade grade) const {
  if (mode_ != shotlog::Mode::event) return {FilterState::on, "; a rehearsal: the filter stays on"};
  if (late > longest_silence) return {FilterState::unknown, " while nothing was said"};
  if (!opened) return {FilterState::on, ""};
  if (grade == shotlog::ClockGrade::f)
    return {FilterState::unknown, "; clock not verified, the operator decides"};
  return {FilterState::off, ""};
}

void Lane::cancel(Issued& issued, const std::string& why, Output& out) const {
  if (!issued.cancelled) out.to_rigs.push_back({index_, order::Cancel{issued.order.id, why}});
  issued.cancelled = true;
}

void Lane::hold(Output& out) {
  held_ = true;
  for (auto& issued : issued_) cancel(issued, "the rig was held", out);
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
}

void Lane::set_filter(FilterState state, Scribe& scribe) {
  scribe.write(shotlog::FilterChange{plan_.rig, state, true, {}});
}

}  // namespace noonfall::run
