// The whole plan in virtual time: the day's core and rigs, simulated bodies, and a clock that jumps.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "lib/run/run.h"
#include "lib/timeline/timeline.h"
#include "sim/body/fault.h"
#include "sim/body/simulated_body.h"

namespace noonfall::sim {

/// The core is killed and another one goes on from the log; rigs carry on meanwhile and report when it is
/// back. Or the worker of one rig is killed: its orders are forgotten, its body takes what was released, and
/// a new one comes.
struct Outage {
  Utc from;
  Duration lasts{};
  std::optional<std::size_t> worker;  // of that rig; none: the core
  bool before_sending = false;  // the core wrote what it was about to ask for, and was killed before it asked
};

struct RehearsalSetup {
  timeline::Timeline timeline;
  run::Facts facts;
  std::uint64_t seed = 1;
  double detune = 1;                       // of every body, see detuned()
  std::vector<std::vector<Fault>> faults;  // by rig; may be shorter than the rigs
  std::optional<Utc> start;                // else a minute before anything happens
  std::vector<Utc> extra_wakes;            // the core is stepped then too: nothing may change by it
  std::vector<std::pair<Utc, shotlog::Command>> commands;  // of the operator, by time
  std::vector<Outage> outages;                             // by time, not overlapping
  std::vector<std::pair<Utc, Duration>> jumps;             // the plan's clock is put forward then, by so much
  bool encodes_log = true;                                 // most of the work; the lines are there without
};

struct Rehearsed {
  std::string log;                                // the bytes of the shot log, if encoded
  std::vector<shotlog::Line> lines;               // the same as values
  std::vector<std::vector<RecordedFrame>> taken;  // by rig: what the bodies really did
  std::vector<run::Announcement> words;
  Utc ended;
};

/// One thread, no real time; the same setup gives the same bytes.
[[nodiscard]] Rehearsed rehearse(const RehearsalSetup& setup);

}  // namespace noonfall::sim
