// Keeps the machine awake: a lock of logind against sleep, idling and a closed lid.
#pragma once

#include "daemon/posix/file_descriptor.h"
#include "lib/base/result.h"

namespace noonfall::service {

/// In force while the descriptor is open. Waits 2 s at most for logind.
[[nodiscard]] Result<posix::FileDescriptor> keep_awake();

}  // namespace noonfall::service
