// noonfalld in a dress rehearsal: back-to-back sets on bodies that are there, through the start of totality.
#pragma once

#include <string>
#include <vector>

#include "lib/shotlog/line.h"
#include "tests/drill/daemon_process.h"
#include "tests/program/run_program.h"

namespace noonfall::tests {

class RunOnBodies {
 public:
  /// A rig for each body by its serial number, each shooting sets of three from one time to the other.
  RunOnBodies(const std::vector<std::string>& serials, const std::string& files, const std::string& from,
              const std::string& to);

  /// Within a minute.
  [[nodiscard]] bool comes_to_fire(std::size_t rig, std::size_t frames) const;
  [[nodiscard]] std::vector<shotlog::FrameOutcome> fired(std::size_t rig) const;
  /// What went wrong with a rig, line by line.
  [[nodiscard]] std::string faults(std::size_t rig) const;
  int stop();

 private:
  ScratchFolder scratch_;
  drill::DaemonProcess daemon_{NOONFALL_DAEMON, scratch_.path("run")};
};

}  // namespace noonfall::tests
