// The day in real time: one thread that waits for the instants the run asks for, and for whatever comes in.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <boost/asio/io_context.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>

#include "daemon/clock/clock_watch.h"
#include "daemon/clock/system_timer.h"
#include "daemon/event_loop/live_run.h"
#include "daemon/event_loop/rig_workers.h"
#include "daemon/operator/command_socket.h"
#include "daemon/page/page_server.h"
#include "daemon/posix/process.h"
#include "daemon/publish/publisher.h"
#include "daemon/status/key_input.h"

namespace noonfall::event_loop {

struct VoiceOptions {
  std::optional<bool> speaks{};        // else on the day, and on real bodies
  std::vector<std::string> command{};  // instead of the sound output
  std::string device = "default";
  Duration delay{};
};

struct LoopSettings {
  RigPrograms programs;
  VoiceOptions voice;
  std::vector<std::string> power_command;  // switches a body off and on; behind it come rig and serial number
  std::string boot_id;
  Utc built;  // no right clock shows an earlier time
  LocalClock local_clock;
  std::optional<page::PageAddress> page;  // none: no page
  std::optional<publish::Broker> broker;  // none: nothing is published
};

class EventLoop {
 public:
  EventLoop(start::OpenedRun opened, LoopSettings settings);
  ~EventLoop();
  EventLoop(const EventLoop&) = delete;
  EventLoop& operator=(const EventLoop&) = delete;

  /// Until the plan is done, or somebody ends it before. Whether it is done.
  [[nodiscard]] bool run();

 private:
  void start_voice(const start::OpenedRun& opened, const VoiceOptions& choice);
  [[nodiscard]] Surroundings surroundings(LoopSettings& settings);
  [[nodiscard]] Result<void> take_commands();
  void cycle_power(std::size_t rig);
  void look_after_power_commands();
  void wait_for_second();
  void wait_for_signals();
  void begin_keys();
  void wait_for_keys();
  void show_soon();
  void open_page(const page::PageAddress& address);
  void open_publisher(const publish::Broker& broker);

  boost::asio::io_context io_{1};
  std::vector<std::string> power_command_;
  struct NamedRig {
    std::string name;
    std::string serial;
  };
  std::vector<NamedRig> rigs_;
  std::vector<posix::Process> power_commands_;               // that haven't ended
  std::vector<std::optional<worker::WorkerSetup>> workers_;  // by rig; none by hand
  clock::ClockWatch clock_;
  status::StatusView view_;
  std::optional<status::KeyInput> key_input_;
  boost::asio::posix::stream_descriptor keys_;
  std::array<char, 256> typed_{};
  clock::SystemTimer timer_;
  boost::asio::steady_timer second_;
  boost::asio::steady_timer soon_;
  bool showing_soon_ = false;
  boost::asio::signal_set signals_;
  std::optional<LiveRun> live_;
  std::unique_ptr<control::CommandSocket> commands_;
  std::optional<page::PageAddress> page_at_;
  std::optional<publish::Broker> broker_;
  std::unique_ptr<page::PageServer> page_;
  std::unique_ptr<publish::Publisher> publisher_;
  std::optional<voice::Voice> voice_;  // last: it posts to the loop
};

}  // namespace noonfall::event_loop
