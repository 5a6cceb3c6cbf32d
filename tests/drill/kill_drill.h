// The drill: daemon or workers are killed with signal 9 at random instants of a totality, again and again.
#pragma once

#include <chrono>
#include <cstdint>
#include <string>
#include <vector>

#include "tests/drill/check_run.h"

namespace noonfall::drill {

struct DrillSettings {
  std::string daemon;  // the program
  std::string plan;
  int kills = 10;
  double speed = 10;
  std::uint64_t seed = 1;
  enum class Victims { daemon, workers, both } victims = Victims::both;
};

struct DrillResult {
  Verdict verdict;
  int runs = 0;
  int daemon_kills = 0;
  int worker_kills = 0;
  std::vector<std::chrono::microseconds>
      armed_after;  // exec of a new daemon to its workers being on the line
};

/// As many totalities as it takes, one after the other.
[[nodiscard]] DrillResult run_drill(const DrillSettings& settings);

}  // namespace noonfall::drill
