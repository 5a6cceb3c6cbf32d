#include "lib/run/run.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/base/match.h"

namespace noonfall::run {
Run::Run(const timeline::Timeline& timeline, const Facts& facts, shotlog::ClockState clock)
    : plans_{timeline.lanes},
      left_out_{timeline.skipped},
      header_{header_of(timeline, facts)},
      cues_{timeline.cues, facts.mode} {
  scribe_.set_clock(clock);
  for (std::size_t n = 0; n < plans_.size(); ++n) {
    lanes_.emplace_back(static_cast<std::int32_t>(n), plans_[n], facts.mode);
  }
}

Output Run::step(Utc now, std::span<const Input> inputs) {
  Output out;
  scribe_.begin(now);
  if (!begun_) begin();
  for (const auto& input : inputs) take(input, now, out);
  cues_.advance(now, plans_, scribe_, out);
  for (auto& lane : lanes_) lane.advance(now, last_order_id_, scribe_, out);
  const bool done = cues_.finished() && std::all_of(lanes_.begin(), lanes_.end(),
                                                    [](const Lane& lane) { return lane.finished(); });
  if (done && !finished_) scribe_.write(shotlog::Note{std::string{shotlog::plan_done}});
  finished_ = finished_ || done;
  out.finished = finished_;
  out.lines = scribe_.take_lines();
  return out;
}

void Run::begin() {
  begun_ = true;
  scribe_.write(header_);
  for (const auto& left : left_out_)
    scribe_.write(shotlog::Skip{{left.rig, left.step, 0, 0}, std::nullopt, left.why});
}

bool Run::knows(const std::string& step_name) const {
  return std::any_of(plans_.begin(), plans_.end(), [&](const timeline::Lane& plan) {
    return std::any_of(plan.steps.begin(), plan.steps.end(),
                       [&](const timeline::RigStep& step) { return step.name == step_name; });
  });
}

void Run::take(const Input& input, Utc now, Output& out) {
  std::visit(Match{[&](const order::Report& report) {
                     for (auto& lane : lanes_) lane.take(report, now, scribe_);
                   },
                   [&](const Command& command) { take(command, out); },
                   [&](const ClockChange& change) {
                     scribe_.set_clock(change.state);
                     scribe_.write(shotlog::ClockLine{change.why});
                   },
                   [](const Attached&) {}},
             input);
}

void Run::take(const Command& command, Output& out) {
  const auto lane = [&](std::int32_t rig) -> Lane* {
    return rig >= 0 && static_cast<std::size_t>(rig) < lanes_.size() ? &lanes_[static_cast<std::size_t>(rig)]
                                                                     : nullptr;
  };
  const auto rig = std::visit(
      Match{[](const SkipStep&) { return std::int32_t{0}; }, [](const ClockOk&) { return std::int32_t{0}; },
            [](const Stop&) { return std::int32_t{0}; }, [](const auto& what) { return what.rig; }},
      command.what);
  if (lane(rig) == nullptr) {
    scribe_.write(shotlog::CommandLine{command.words, "there is no such rig"});
    return;
  }
  if (const auto* skip = std::get_if<SkipStep>(&command.what); skip != nullptr && !knows(skip->step)) {
    scribe_.write(shotlog::CommandLine{command.words, "there is no such step"});
    return;
  }
  scribe_.write(shotlog::CommandLine{command.words, {}});
  std::visit(Match{[&](const Hold& hold) { lane(hold.rig)->hold(out); },
                   [&](const Resume& resume) { lane(resume.rig)->resume(); },
                   [&](const SkipStep& skip) {
                     for (auto& each : lanes_) each.skip_step(skip.step, out);
                   },
                   [&](const SetFilter& filter) { lane(filter.rig)->set_filter(filter.state, scribe_); },
                   [](const Trim&) {}, [](const ClockOk&) {}, [](const Stop&) {}},
             command.what);
}

}  // namespace noonfall::run
