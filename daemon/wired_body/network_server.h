// Serves one simulated body to a host on this machine's own network, in real time.
#pragma once

#include <cstdint>
#include <functional>
#include <map>

#include "daemon/posix/file_descriptor.h"
#include "lib/base/result.h"
#include "lib/time/boot_clock.h"
#include "sim/wire/ptpip_line.h"

namespace noonfall::wired_body {

/// On the loopback address only: a simulated body is nobody else's business. Port 0: any free one.
[[nodiscard]] Result<posix::FileDescriptor> listen_on_loopback(std::uint16_t port);

class NetworkServer {
 public:
  NetworkServer(posix::FileDescriptor listener, wire::PtpBody& body, ClockMapping clock,
                std::function<void(const sim::RecordedFrame&)> on_picture);

  /// Until `stop` becomes readable.
  void serve(int stop);

 private:
  [[nodiscard]] Utc now() const;
  void wait(int stop);
  void accept_client();
  void hear(int client);
  void tell_all();
  void drop(int client);
  void drop_all_if_gone();

  posix::FileDescriptor listener_;
  wire::PtpBody& body_;
  wire::PtpipLine line_;
  ClockMapping clock_;
  std::function<void(const sim::RecordedFrame&)> on_picture_;
  std::map<int, posix::FileDescriptor> clients_;
  std::size_t pictures_ = 0;
  bool stopping_ = false;
};

}  // namespace noonfall::wired_body
