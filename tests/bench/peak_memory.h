// The most memory that a stretch of a benchmark held.
#pragma once

#include <malloc.h>

#include <cstdlib>
#include <fstream>
#include <string>

namespace noonfall::bench {

/// Of the whole process, with the program and what it held before, since this was made. proc(5): 5 written to
/// clear_refs forgets the peak so far.
class PeakMemory {
 public:
  PeakMemory() {
    ::malloc_trim(0);
    std::ofstream{"/proc/self/clear_refs"} << 5;
  }
  [[nodiscard]] double megabytes() const {
    std::ifstream status{"/proc/self/status"};
    for (std::string line; std::getline(status, line);) {
      if (line.starts_with("VmHWM:")) return std::atof(line.c_str() + 6) * 1024 / 1e6;
    }
    return 0;
  }
};

}  // namespace noonfall::bench
