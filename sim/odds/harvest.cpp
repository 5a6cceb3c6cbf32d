#include <algorithm>
#include <map>
#include <set>
#include <utility>

#include "sim/odds/trial.h"
#include "sim/rehearse/rehearsal.h"

namespace noonfall::sim {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;
using exposure::SubjectKind;
using timeline::RigStep;
using timeline::RigTimeline;
using timeline::Timeline;

constexpr Duration farthest_without_filter = 60s;  // outside totality: docs/safety.md
constexpr Duration second_of_beads = 1s;
constexpr double still_full_speed = 1.5;  // of the time between two frames

struct Totality {
  Utc from = Utc::max();
  Utc until = Utc::min();
};

Totality true_totality(const Timeline& timeline, const Trial& trial) {
  if (timeline.circumstances.kind != contacts::Kind::total) return {};
  return {true_contact(timeline, trial, ContactName::c2), true_contact(timeline, trial, ContactName::c3)};
}

bool wants_totality(const exposure::Subject& subject) {
  return subject.kind == SubjectKind::chromosphere || subject.kind == SubjectKind::prominences ||
         subject.kind == SubjectKind::corona || subject.kind == SubjectKind::earthshine;
}

bool counts(const RigStep& step, const RecordedFrame& frame, const Totality& totality) {
  return !wants_totality(step.subject) || (frame.opened >= totality.from && frame.closed <= totality.until);
}

bool is_stray(const RigTimeline& rig, const RigStep& step, const RecordedFrame& frame,
              const Totality& totality) {
  if (step.filtered || !rig.has_filter) return false;
  if (!rig.window || frame.opened < rig.window->usable_from || frame.closed > rig.window->usable_until)
    return true;
  return frame.opened < totality.from - farthest_without_filter ||
         frame.closed > totality.until + farthest_without_filter;
}

std::size_t length_of(const RigStep& step, std::int32_t set) {
  const auto n = static_cast<std::size_t>(std::max(set, 1) - 1);
  if (step.targets.empty()) return step.shapes[n % step.shapes.size()].exposures.size();
  return step.shapes[step.targets[std::min(n, step.targets.size() - 1)].shape].exposures.size();
}

/// The longest time between two openings of a step at the body's full speed.
Duration full_speed(const RigStep& step) {
  Duration longest{};
  for (const auto& shape : step.shapes) {
    for (std::size_t n = 0; n + 1 < shape.offsets.size(); ++n)
      longest = std::max(longest, shape.offsets[n + 1] - shape.offsets[n]);
    longest = std::max(longest, shape.cycle - shape.offsets.back());
  }
  return longest;
}

/// What one step of one rig brought.
struct Taken {
  std::map<std::int32_t, int> by_set;
  std::vector<Utc> openings;
  int frames = 0;
};

int whole_sets(const RigStep& step, const Taken& taken) {
  int whole = 0;
  for (const auto& [set, frames] : taken.by_set) {
    const auto length = static_cast<int>(length_of(step, set));
    whole += step.back_to_back ? frames / length : static_cast<int>(frames == length);
  }
  return whole;
}

bool catches_beads(const Taken& taken, Duration longest_gap, Utc from, Utc until) {
  auto last = Utc::min();
  for (const auto at : taken.openings) {
    if (at > from && (last == Utc::min() || at - last > longest_gap)) return false;
    if (at >= until) return true;
    last = at;
  }
  return last != Utc::min() && last >= from && until - last <= longest_gap;
}

class Yields {
 public:
  Yields(const Timeline& timeline, const Trial& trial)
      : timeline_(timeline), trial_(trial), totality_(true_totality(timeline, trial)) {}

  Harvest of(const Rehearsed& rehearsed) {
    Harvest harvest;
    for (const auto& row : rows_of(timeline_)) harvest.steps.push_back(yield_of(row, rehearsed));
    for (std::size_t r = 0; r < rehearsed.taken.size(); ++r) {
      const auto& rig = timeline_.rigs[r];
      for (const auto& frame : rehearsed.taken[r])
        harvest.strayed += static_cast<int>(is_stray(rig, step_of(rig, frame), frame, totality_));
    }
    return harvest;
  }

 private:
  static const RigStep& step_of(const RigTimeline& rig, const RecordedFrame& frame) {
    return rig.steps[static_cast<std::size_t>(frame.id.step)];
  }

  [[nodiscard]] StepYield yield_of(const Row& row, const Rehearsed& rehearsed) const {
    const auto& rig = timeline_.rigs[row.rig];
    const auto& step = rig.steps[row.step];
    const auto taken = taken_in(row.step, step, rehearsed.taken[row.rig]);
    const bool beads = step.subject.kind == SubjectKind::beads;
    return {taken.frames, whole_sets(step, taken), beads && catches(step, taken)};
  }

  [[nodiscard]] Taken taken_in(std::size_t index, const RigStep& step,
                               const std::vector<RecordedFrame>& frames) const {
    Taken taken;
    std::set<order::FrameId> seen;
    for (const auto& frame : frames) {
      if (static_cast<std::size_t>(frame.id.step) != index) continue;
      taken.openings.push_back(frame.opened);
      if (!counts(step, frame, totality_) || !seen.insert(frame.id).second) continue;
      ++taken.by_set[frame.id.set];
      ++taken.frames;
    }
    return taken;
  }

  [[nodiscard]] bool catches(const RigStep& step, const Taken& taken) const {
    if (totality_.from > totality_.until) return false;
    const auto gap = from_seconds(in_seconds(full_speed(step)) * trial_.detune * still_full_speed);
    return catches_beads(taken, gap, totality_.from - second_of_beads, totality_.from) ||
           catches_beads(taken, gap, totality_.until, totality_.until + second_of_beads);
  }

  const Timeline& timeline_;
  const Trial& trial_;
  Totality totality_;
};

Harvest rehearse_trial(const Timeline& timeline, const run::Facts& facts, const Trial& trial,
                       std::vector<std::vector<Fault>> faults) {
  RehearsalSetup setup;
  setup.timeline = timeline;
  setup.facts = facts;
  setup.seed = trial.luck;
  setup.detune = trial.detune;
  setup.faults = std::move(faults);
  setup.encodes_log = false;
  return Yields{timeline, trial}.of(rehearse(setup));
}

RatedFault kind_of(const Fault& fault) {
  if (std::holds_alternative<BodyGone>(fault.effect)) return RatedFault::gone;
  return std::holds_alternative<SlowCard>(fault.effect) ? RatedFault::slow_card : RatedFault::lost_frame;
}

int emptied(const Harvest& without, const Harvest& with) {
  int count = 0;
  for (std::size_t n = 0; n < with.steps.size(); ++n)
    count += static_cast<int>(without.steps[n].whole_sets > 0 && with.steps[n].whole_sets == 0);
  return count;
}

}  // namespace

int Harvest::frames() const {
  int all = 0;
  for (const auto& step : steps) all += step.frames;
  return all;
}

std::vector<Row> rows_of(const Timeline& timeline) {
  std::vector<Row> rows;
  for (std::size_t rig = 0; rig < timeline.rigs.size(); ++rig) {
    if (timeline.rigs[rig].by_hand) continue;
    for (std::size_t step = 0; step < timeline.rigs[rig].steps.size(); ++step) rows.push_back({rig, step});
  }
  return rows;
}

Harvest harvest(const Timeline& timeline, const run::Facts& facts, const Chances& chances,
                std::uint64_t number) {
  const auto trial = draw(timeline, chances, number);
  auto all = rehearse_trial(timeline, facts, trial, trial.faults);
  std::optional<Harvest> without;
  for (const auto kind : all_rated_faults) {
    auto faults = trial.faults;
    for (auto& of_rig : faults)
      std::erase_if(of_rig, [kind](const Fault& fault) { return kind_of(fault) != kind; });
    if (std::ranges::all_of(faults, &std::vector<Fault>::empty)) continue;
    if (!without) without = rehearse_trial(timeline, facts, trial, {});
    const auto alone = faults == trial.faults ? all : rehearse_trial(timeline, facts, trial, faults);
    all.losses.push_back({kind, without->frames() - alone.frames(), emptied(*without, alone)});
  }
  return all;
}

}  // namespace noonfall::sim
