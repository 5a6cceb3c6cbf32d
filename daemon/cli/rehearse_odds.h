// `rehearse --trials`: the plan rehearsed many times over, on every core, and what the trials say together.
#pragma once

#include <string>

#include "daemon/cli/commands.h"
#include "lib/run/header.h"
#include "lib/timeline/timeline.h"
#include "sim/odds/odds.h"

namespace noonfall::cli {

struct TrialsRequest {
  int trials = 0;
  int threads = 0;  // 0: as many as the machine runs at a time
  sim::Chances chances = {};
  bool json = false;
};

/// Prints the odds, the same whatever the number of threads; exit 1 if any unfiltered frame strayed.
void rehearse_odds(const TrialsRequest& request, const timeline::Timeline& timeline, const run::Facts& facts,
                   Context& context);

/// As a person reads them; lines ended by '\n'.
[[nodiscard]] std::string odds_text(const sim::Odds& odds, const timeline::Timeline& timeline,
                                    const sim::Chances& chances);
[[nodiscard]] std::string odds_json(const sim::Odds& odds, const sim::Chances& chances);

}  // namespace noonfall::cli
