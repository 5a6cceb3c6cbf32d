// The thread that talks: takes the daemon's orders to the device thread and the reports back, whoever the
// daemon is by now.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>

#include "daemon/posix/file_descriptor.h"
#include "daemon/worker/body_identity.h"
#include "daemon/worker/device_loop.h"

namespace noonfall::worker {

/// A JPEG's Sun; none for what is no JPEG.
using See = std::function<std::optional<look::SunSeen>(const std::string& jpeg)>;

struct LineSetup {
  std::int32_t rig = 0;
  std::string socket_folder;
  BodyIdentity body;
  std::string introduction;  // said to the first daemon that comes
  Duration linger{};         // how long to wait, idle, for a daemon to come back
  See see;                   // what a small picture shows; empty: they aren't looked at
};

/// Until the device thread has ended and what it reported is said. The latest daemon that said a good hello
/// is the one that counts. Without any, held orders go on to their end; idle for `linger` everything is asked
/// to stop. `listening` on the rig's socket in the folder; `signals` is a signalfd.
void talk(LineSetup setup, posix::FileDescriptor listening, int signals, DeviceLine& device);

}  // namespace noonfall::worker
