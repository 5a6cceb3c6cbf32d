// The bodies on this machine's cables, through libgphoto2.
#pragma once

#include <memory>

#include "daemon/gphoto/session.h"

namespace noonfall::gphoto {

/// For one thread; its settings are the process's, so there is one of it. Loads the drivers.
[[nodiscard]] std::unique_ptr<Cables> camera_library();

}  // namespace noonfall::gphoto
