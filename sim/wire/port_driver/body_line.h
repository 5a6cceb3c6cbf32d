// A connection to the process of one simulated body, from inside the host program.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sim/wire/line_messages.h"

namespace noonfall::wire {

/// Not for use from two threads.
class BodyLine {
 public:
  /// Not connected when nobody listens there.
  explicit BodyLine(const std::string& socket_path);
  BodyLine(BodyLine&& other) noexcept;
  BodyLine& operator=(BodyLine&&) = delete;
  ~BodyLine();

  /// Waits for the answer; a line that breaks is a device that has gone.
  [[nodiscard]] LineAnswer ask(const LineRequest& request);
  /// Empty while the body is off the bus.
  [[nodiscard]] std::optional<BusPlace> place();

 private:
  int socket_ = -1;
};

/// The sockets in the folder that NOONFALL_BODIES names, by name.
[[nodiscard]] std::vector<std::string> body_sockets();

}  // namespace noonfall::wire
