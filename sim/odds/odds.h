// What many trials say together: how likely a plan is to come home with its pictures.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "sim/odds/trial.h"

namespace noonfall::sim {

/// Half of the trials had this many or fewer, one in twenty `low` or fewer, one as few as `worst`.
struct Quantiles {
  int median = 0;
  int low = 0;
  int worst = 0;
  bool operator==(const Quantiles&) const = default;
};
/// Nearest ranks; of at least one value.
[[nodiscard]] Quantiles quantiles(std::vector<int> values);

struct StepOdds {
  std::string rig;
  std::string step;
  int planned_frames = 0;
  int planned_sets = 0;
  Quantiles frames;
  Quantiles sets;
  double any_set = 0;                  // chance of at least one complete set
  std::optional<double> beads_caught;  // chance; of steps for beads
};

/// Of one kind of fault. What it costs is told by the trials that had no other.
struct FaultCost {
  FaultKind kind = FaultKind::lost_frame;
  int struck = 0;            // trials that had it
  int alone = 0;             // and no other kind
  double frames_lost = 0;    // on average, each trial alone
  int most_lost = 0;         // in one of them
  double steps_emptied = 0;  // on average: steps left without a complete set
  double frames_a_day = 0;   // frames_lost times the chance that it strikes
};

struct Odds {
  int trials = 0;
  int planned_frames = 0;
  std::vector<StepOdds> steps;
  Quantiles frames;              // of all steps
  double strayed = 0;            // chance of any unfiltered frame outside the window: must be none
  std::vector<FaultCost> costs;  // the costliest first; kinds that never struck are left out
};

/// `harvests` by trial, at least one.
[[nodiscard]] Odds odds_of(const timeline::Timeline& timeline, std::span<const Harvest> harvests);

}  // namespace noonfall::sim
