// A lock that says one worker serves a body, held for as long as the process lives.
#pragma once

#include <string>

#include "daemon/posix/file_descriptor.h"
#include "lib/base/result.h"

namespace noonfall::worker {

/// Made when it isn't there, with the holder's process id in it. Refused, with that id, when another holds
/// it.
[[nodiscard]] Result<posix::FileDescriptor> hold_lock(const std::string& path);

}  // namespace noonfall::worker
