// Processes of simulated bodies on a USB of their own, which the camera library sees.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "daemon/posix/process.h"
#include "sim/body/simulated_body.h"
#include "tests/program/run_program.h"

namespace noonfall::tests {

/// How long a test waits for what has to come. Nothing is concluded from how long it took.
inline constexpr std::chrono::seconds patience{30};

/// A folder of bodies. While it lives, the camera library finds them and nothing else, and keeps its settings
/// there.
class Usb {
 public:
  /// With another driver than ours, the bodies are those that it brings.
  explicit Usb(const std::string& driver = {});

  [[nodiscard]] const ScratchFolder& folder() const { return folder_; }

 private:
  ScratchFolder folder_;
};

/// noonfall-body, ended with this.
class Body {
 public:
  /// `options` beside --bus-dir, --name, --family and --simulate.
  Body(const Usb& usb, const std::string& family, std::vector<std::string> options = {},
       const std::string& name = "one", const std::string& profile = "mirrorless-20");
  /// Not on the USB but on this machine's network, where the library has to be told to look.
  [[nodiscard]] static Body on_network(const Usb& usb, const std::string& family, std::uint16_t port);
  ~Body();
  Body(const Body&) = delete;
  Body& operator=(const Body&) = delete;

  /// Every picture it really took.
  [[nodiscard]] std::vector<sim::RecordedFrame> taken() const;

 private:
  Body(const Usb& usb, const std::string& name, std::vector<std::string> arguments,
       const std::function<bool()>& listens);

  std::string record_;
  posix::Process process_;
};

/// A port of the loopback address that nobody uses now.
[[nodiscard]] std::uint16_t free_port();

/// Script of line faults, as the options for a Body.
[[nodiscard]] std::vector<std::string> with_line_faults(const Usb& usb, const std::string& entries);
/// Script of body faults.
[[nodiscard]] std::vector<std::string> with_faults(const Usb& usb, const std::vector<sim::Fault>& faults);

/// UTC by this machine's clock, as the bodies tell it.
[[nodiscard]] Utc utc_now();

}  // namespace noonfall::tests
