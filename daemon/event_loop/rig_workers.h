// What each rig's worker is started with, and the simulated body at the end of its cable where it has one.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "daemon/start/open_run.h"
#include "daemon/worker/worker_link.h"

namespace noonfall::event_loop {

struct RigPrograms {
  std::string camera;                  // noonfall-camera
  std::string wired_body;              // noonfall-body
  std::string port_drivers;            // the folder with the camera library's way to it
  std::vector<std::string> variables;  // of the camera library, for workers that use it: "IOLIBS=…"
};

/// Not for a rig by hand. Writes the files it names into the run's folder, and plugs a wired simulated body
/// in; what goes wrong with that is among the run's notes.
[[nodiscard]] worker::WorkerSetup worker_setup(start::OpenedRun& opened, const RigPrograms& programs,
                                               std::size_t rig);

}  // namespace noonfall::event_loop
