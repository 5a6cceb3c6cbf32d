// Asking the kernel for punctuality: each thing is asked for once, reported, and never required.
#pragma once

#include <string>
#include <vector>

namespace noonfall::worker {

/// What was asked for, and what of it refused why: "mlockall (…)".
struct Punctuality {
  std::vector<std::string> granted;
  std::vector<std::string> refused;
};
/// In one line for a person.
[[nodiscard]] std::string to_text(const Punctuality& punctuality);

/// For the process: its memory stays in memory, and the processor out of its deep sleeps (for as long as the
/// process lives).
void make_process_punctual(Punctuality& punctuality);
/// For the calling thread: the finest timer slack, and SCHED_FIFO.
void make_thread_punctual(Punctuality& punctuality);

}  // namespace noonfall::worker
