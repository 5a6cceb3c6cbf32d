// Serves one simulated body to the port drivers of its hosts, in real time.
#pragma once

#include <functional>
#include <map>
#include <optional>

#include "daemon/posix/file_descriptor.h"
#include "lib/time/boot_clock.h"
#include "sim/wire/line_host.h"

namespace noonfall::wired_body {

class BodyServer {
 public:
  /// `clock` says which UTC the boot clock stands for; `on_picture` gets each picture as soon as the body is
  /// bound to take it.
  BodyServer(posix::FileDescriptor listener, wire::PtpBody& body, wire::BusPlace place, ClockMapping clock,
             std::function<void(const sim::RecordedFrame&)> on_picture);

  /// Until `stop` becomes readable, or nobody has been there for `linger`.
  void serve(int stop, std::optional<Duration> linger);

 private:
  [[nodiscard]] Utc now() const;
  void wait(int stop, std::optional<Duration> linger);
  void accept_client();
  void hear(int client);
  void answer_all();
  void drop(int client);

  posix::FileDescriptor listener_;
  wire::PtpBody& body_;
  wire::LineHost host_;
  ClockMapping clock_;
  std::function<void(const sim::RecordedFrame&)> on_picture_;
  std::map<int, posix::FileDescriptor> clients_;
  Utc last_host_;
  std::size_t pictures_ = 0;
  bool stopping_ = false;
};

}  // namespace noonfall::wired_body
