// The run in real time: the core, stepped when it asks to be or when something comes in, between the clock,
// the workers, the log, the operator and the screen.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <boost/asio/io_context.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>

#include "daemon/clock/clock_watch.h"
#include "daemon/event_loop/boot_timer.h"
#include "daemon/event_loop/rig_workers.h"
#include "daemon/journal/folder_watch.h"
#include "daemon/operator/command_socket.h"
#include "daemon/start/open_run.h"
#include "daemon/status/event_lines.h"
#include "daemon/status/status_ledger.h"
#include "daemon/status/status_view.h"
#include "daemon/worker/worker_link.h"
#include "lib/run/run.h"
#include "lib/time/zone.h"

namespace noonfall::event_loop {

struct LiveSettings {
  RigPrograms programs;
  std::string boot_id;
  Utc built;  // no right clock shows an earlier time
  LocalClock local_clock;
};

/// Of one thread, the loop's; nothing in it blocks. The loop is stopped when the plan is done or the operator
/// said stop, with the workers ended; on SIGTERM as soon as every camera filter was called back on, with the
/// workers left to go on with what they hold.
class LiveRun {
 public:
  LiveRun(boost::asio::io_context& io, start::OpenedRun opened, LiveSettings settings);

  /// Without a command socket, when it can't be opened, the run goes on all the same.
  void start();
  /// Nothing is left to go on with.
  [[nodiscard]] bool plan_is_done() const { return ledger_.account().ended == shotlog::RunEnd::done; }

 private:
  /// The core's replies to the requests it took.
  std::vector<std::string> take(run::Input input);
  std::vector<std::string> step_core();
  void write(const shotlog::Line& line);
  void arm(std::optional<Utc> wake);
  void clock_changed(const run::ClockChange& change, const ClockMapping& mapping);
  void open_commands();
  void look_after_folder();
  void disk_news(const journal::JournalNews& news);
  void each_second();
  void wait_for_signals();
  void on_signal(int signal);
  [[nodiscard]] control::Answer carry_out(const std::string& words);
  [[nodiscard]] std::unique_ptr<worker::WorkerLink> link_for(std::size_t rig);
  [[nodiscard]] shotlog::ClockStamp stamp(const ClockMapping& mapping) const;
  void end();
  void leave();

  boost::asio::io_context& io_;
  start::OpenedRun opened_;
  LiveSettings settings_;
  clock::ClockWatch clock_;
  run::Run run_;
  BootTimer timer_;
  boost::asio::steady_timer second_;
  boost::asio::signal_set signals_;
  std::unique_ptr<control::CommandSocket> commands_;
  std::optional<journal::FolderWatch> folder_watch_;
  std::vector<std::unique_ptr<worker::WorkerLink>> links_;  // by rig; none by hand
  status::StatusLedger ledger_;
  status::EventLines events_;
  status::StatusView view_;
  std::vector<run::Input> inputs_;  // for the core's next step
  bool stepping_ = false;
  bool ending_ = false;   // told to
  bool leaving_ = false;  // told to go, the run unfinished
  bool ended_ = false;    // by itself: nothing is left to do
};

}  // namespace noonfall::event_loop
