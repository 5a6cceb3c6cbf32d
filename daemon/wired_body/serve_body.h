// A simulated body at the end of a pretended cable: what its process is told, and its life.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/worker/camera_options.h"
#include "sim/wire/ptp_body.h"

namespace noonfall::wired_body {

struct BodyOptions {
  std::string bus_folder;                     // NOONFALL_BODIES of its hosts; the socket is NAME.body in it
  std::optional<std::uint16_t> network_port;  // instead: PTP/IP on the loopback address
  std::string name = "body";
  std::uint16_t bus = 1;
  wire::BodyIdentity identity;
  std::vector<std::string> traits;       // as with_traits reads them
  std::optional<double> transaction_ms;  // none: as a real body may take
  std::optional<double> linger_s;        // without a host; none: for ever
  std::string line_faults;               // a file, or empty for none
  std::string sky;                       // of its small pictures, likewise
  worker::CameraOptions camera;          // of it the profile, traits, faults and record
};

/// Until SIGTERM or SIGINT. The exit code of the program, its reasons told.
[[nodiscard]] int serve_body(BodyOptions options);

}  // namespace noonfall::wired_body
