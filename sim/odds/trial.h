// One rehearsal of many: what chance gives it, and what it brings home.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "lib/run/header.h"
#include "lib/timeline/timeline.h"
#include "sim/body/fault.h"

namespace noonfall::sim {

enum class RatedFault { lost_frame, gone, slow_card };
inline constexpr std::array<RatedFault, 3> all_rated_faults{RatedFault::lost_frame, RatedFault::gone,
                                                            RatedFault::slow_card};
/// "a body gone for 10 s"
[[nodiscard]] std::string_view to_text(RatedFault kind);

/// How often faults come, on each rig. The defaults are guesses, no source: put in what your gear has done.
struct FaultRates {
  double lost_frame = 1.0 / 2000;  // of frames
  double gone_an_hour = 0.1;
  double slow_card_an_hour = 0.1;  // at a quarter of its rate for a minute
};

struct Chances {
  std::uint64_t seed = 1;
  double fastest = 0.8;  // the bodies' own times over their profiles', between these
  double slowest = 1.25;
  FaultRates rates = {};
};

struct Trial {
  std::uint64_t luck = 0;  // of the bodies' releases
  double detune = 1;
  std::array<Duration, 5> late{};          // by ContactName: how much later than computed it really comes
  std::vector<std::vector<Fault>> faults;  // by rig
};

/// The same for the same seed and number, whatever else is drawn. Pace is as often so much faster as slower;
/// a contact errs normally by its uncertainty's parts, of which the Moon's edge and the model of the shadow
/// are drawn for each contact and the others once for all.
[[nodiscard]] Trial draw(const timeline::Timeline& timeline, const Chances& chances, std::uint64_t number);

/// The true instant of a contact that happens.
[[nodiscard]] Utc true_contact(const timeline::Timeline& timeline, const Trial& trial,
                               contacts::ContactName name);

/// Of one step of one rig. What lies on the cards counts, each frame once; a frame of
/// chromosphere, prominences, corona or earthshine only if its shutter was open in true totality alone.
struct StepYield {
  int frames = 0;
  int whole_sets = 0;
  bool beads_caught = false;  // at full speed in the second before the true C2, or after the true C3
};

/// A step of a rig that takes orders: by what trials are told.
struct Row {
  std::size_t rig = 0;
  std::size_t step = 0;  // of the rig's
};
/// Rig by rig, by time.
[[nodiscard]] std::vector<Row> rows_of(const timeline::Timeline& timeline);

/// What the faults of one kind cost a trial: it without any fault, against it with these alone.
struct FaultLoss {
  RatedFault kind = RatedFault::lost_frame;
  int frames = 0;   // less; a day is sometimes luckier for a fault
  int emptied = 0;  // steps that have a complete set without the faults and none with them
};

struct Harvest {
  std::vector<StepYield> steps;  // by row
  /// Frames taken without the filter while the plan wants it on, or more than a minute outside true totality.
  int strayed = 0;
  std::vector<FaultLoss> losses;  // of each kind there was

  [[nodiscard]] int frames() const;
};

/// Rehearses trial `number`, and again without its faults, and with each kind of them alone.
[[nodiscard]] Harvest harvest(const timeline::Timeline& timeline, const run::Facts& facts,
                              const Chances& chances, std::uint64_t number);

}  // namespace noonfall::sim
