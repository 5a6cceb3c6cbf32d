// The signals that end a process, as something to poll.
#pragma once

#include "daemon/posix/file_descriptor.h"

namespace noonfall::worker {

/// Readable once SIGTERM or SIGINT came. From then on a lost terminal, a peer gone in mid-word or a limit
/// on files ends nothing. For the main thread, before there are others.
[[nodiscard]] posix::FileDescriptor take_end_signals();

}  // namespace noonfall::worker
