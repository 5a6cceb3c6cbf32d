// The drill on the day itself, by a false clock: daemon, workers and bodies on cables are killed or stand
// still at random instants around and within filter windows, and half of it goes by under a full disk.
#pragma once

#include <cstdint>
#include <string>

#include "tests/drill/check_run.h"
#include "tests/program/run_program.h"

namespace noonfall::drill {

/// noonfalld, as a script in `scratch`, on a machine whose clock is ahead and kept by nobody. While the file
/// `full-disk` is in there too, shot logs can't be written.
[[nodiscard]] std::string program_on_a_day(const tests::ScratchFolder& scratch, const std::string& daemon,
                                           Duration ahead);

struct DayDrill {
  std::string daemon;  // the program
  std::string camera_drivers;
  std::string body;  // noonfall-body
  int kills = 12;
  int freezes = 6;
  std::uint64_t seed = 1;
};

struct DayResult {
  Verdict verdict;
  int days = 0;
  int daemon_kills = 0;
  int worker_kills = 0;
  int under_full_disk = 0;  // of these
  int daemon_freezes = 0;
  int worker_freezes = 0;
  int body_freezes = 0;

  [[nodiscard]] int kills() const { return daemon_kills + worker_kills; }
  [[nodiscard]] int freezes() const { return daemon_freezes + worker_freezes + body_freezes; }
};

/// As many days as it takes, a hundred seconds each.
[[nodiscard]] DayResult run_day_drill(const DayDrill& drill);

}  // namespace noonfall::drill
