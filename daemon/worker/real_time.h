// Asking the kernel for punctuality: each favour is tried once, reported, and never required.
#pragma once

#include <string>
#include <vector>

namespace noonfall::worker {

struct Favour {
  std::string what;     // "SCHED_FIFO 20"
  std::string refused;  // why; empty when granted
};
/// All of them in one line for a person.
[[nodiscard]] std::string to_text(const std::vector<Favour>& favours);

/// For the calling thread: the finest timer slack, and SCHED_FIFO.
[[nodiscard]] std::vector<Favour> make_thread_punctual();

/// For the process: its memory stays in memory, and the processor out of its deep sleeps (for as long as the
/// process lives).
[[nodiscard]] std::vector<Favour> make_process_punctual();

}  // namespace noonfall::worker
