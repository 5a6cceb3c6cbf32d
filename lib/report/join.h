// Several logs of one run as one account: a copy cut short, a log gone on with elsewhere, another machine's
// rigs.
#pragma once

#include <span>

#include "lib/report/detail.h"
#include "lib/shotlog/account.h"
#include "lib/shotlog/replay.h"

namespace noonfall::report {

struct Joined {
  shotlog::Account account;
  /// In force in the last log, and behind its rigs those that only earlier logs have.
  shotlog::Header plan;
  bool complete = false;             // of every rig, a log that has it says that the plan was done
  Utc told_until;                    // for ever, when the last log says that its run is over
  std::vector<shotlog::Line> story;  // by time, each line once
  std::vector<ClockSpan> clock;      // by log
};

/// In the order they were made. What one of them knows a frame to have become is believed before what another
/// lacks; of two that know, the later one.
[[nodiscard]] Joined join(std::span<const shotlog::Replayed> logs);

}  // namespace noonfall::report
