// Asking the kernel for punctuality: each favour is tried once, reported in words, and never required.
#pragma once

#include <string>
#include <vector>

namespace noonfall::worker {

/// For the calling thread: the finest timer slack, and SCHED_FIFO.
[[nodiscard]] std::vector<std::string> make_thread_punctual();

/// For the process: its memory stays in memory, and the processor out of its deep sleeps (for as long as the
/// process lives).
[[nodiscard]] std::vector<std::string> make_process_punctual();

}  // namespace noonfall::worker
