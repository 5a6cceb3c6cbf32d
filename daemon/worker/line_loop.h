// The thread that talks: takes the daemon's orders to the device thread and the reports back, whoever the
// daemon is by now.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "daemon/posix/file_descriptor.h"
#include "daemon/worker/daemon_line.h"
#include "daemon/worker/device_loop.h"
#include "daemon/worker/order_book.h"

namespace noonfall::worker {

struct LineSetup {
  std::int32_t rig = 0;
  std::string socket_folder;
  BodyIdentity body;
  std::string introduction;  // said to the first daemon that comes
  Duration linger{};         // how long to wait, idle, for a daemon to come back
};

/// The latest daemon that said a good hello is the one that counts. Without any, held orders go on to their
/// end; idle for `linger` the loop asks everything to stop.
class LineLoop {
 public:
  /// `listening` on the rig's socket in the folder; `signals` (a signalfd) stay open as long as this lives.
  LineLoop(LineSetup setup, posix::FileDescriptor listening, int signals, DeviceLine& device);

  /// Until the device thread has ended and what it reported is said.
  void run();

 private:
  void wait();
  void take_in_connections();
  void take_reports();
  void listen(DaemonLine& line);
  void hear(DaemonLine& line, const std::string& text);
  void hear(DaemonLine& line, const ToWorker& words);
  void greet(DaemonLine& line, const DaemonHello& hello);
  void set_clock(const ClockMapping& mapping);
  void take(DaemonLine& line, const order::Order& order);
  void speak();
  void stay_reachable();
  void drop_ended();
  void stop_if_idle_and_alone(BootTime now);
  [[nodiscard]] bool said_enough(BootTime now);
  [[nodiscard]] DaemonLine* daemon();

  LineSetup setup_;
  posix::FileDescriptor listening_;
  int signals_;
  DeviceLine& device_;
  OrderBook book_;
  std::vector<std::unique_ptr<DaemonLine>> lines_;
  BootTime last_alive_{};
  BootTime daemon_seen_;
  std::optional<BootTime> device_ended_;
  std::vector<std::string> notes_;  // for the next daemon that comes, the introduction first
};

}  // namespace noonfall::worker
