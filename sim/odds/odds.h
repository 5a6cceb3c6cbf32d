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
  std::string rig = {};
  std::string step = {};
  int planned_frames = 0;
  int planned_sets = 0;
  Quantiles frames = {};
  Quantiles sets = {};
  double any_set = 0;                       // chance of at least one complete set
  std::optional<double> beads_caught = {};  // chance; of steps for beads
};

/// Of one kind of fault, with no other beside it.
struct FaultCost {
  RatedFault kind = RatedFault::lost_frame;
  double struck = 0;   // share of the trials that had it
  double frames = 0;   // lost on average where it struck
  int most = 0;        // frames lost in one of them
  double emptied = 0;  // steps left without a complete set, on average where it struck
  [[nodiscard]] double frames_a_day() const { return frames * struck; }
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
