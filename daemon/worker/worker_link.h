// The daemon's hold on one camera worker: starts it or finds it again, brings it orders, passes its reports
// on, and replaces it when it is dead or hung.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <boost/asio/io_context.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/steady_timer.hpp>

#include "daemon/posix/file_descriptor.h"
#include "daemon/posix/process.h"
#include "daemon/worker/line_watch.h"
#include "daemon/worker/order_desk.h"
#include "daemon/worker/worker_clock.h"
#include "daemon/worker/worker_line.h"
#include "lib/run/input_output.h"

namespace noonfall::worker {

struct WorkerSetup {
  std::string executable;  // noonfall-camera
  std::string folder;      // the run folder, absolute
  std::int32_t rig = 0;
  std::string profile;  // a shipped profile's name, or a file
  std::string serial;   // of a body on a cable; empty: one simulated in the worker
  std::string spare;    // of one that may take its place, or empty
  BodyIdentity body;    // what a worker found again has to serve
  SimulatedTraits traits;
  std::string faults;  // each of these: a file, or empty for none
  std::string record;
  std::string sky;
  std::string lock;
  std::vector<std::string> variables;  // see posix::Command
};

struct LinkCallbacks {
  /// Attached, then reports.
  std::function<void(const run::Input&)> on_input;
  std::function<void(const std::string&)> on_note;
  /// Whether what was told so far is with the system: until then the worker keeps its reports.
  std::function<bool()> is_safe;
};

/// A rig's worker, as the run sees it. Callbacks may call any member, but not destroy it.
class RigLink {
 public:
  virtual ~RigLink() = default;

  /// Before start(), and whenever it changes.
  virtual void set_clock(const ClockMapping& mapping) = 0;
  /// See NextDue. Likewise, or not at all.
  virtual void set_next_due(Utc at) = 0;
  virtual void start() = 0;
  /// While no worker is on the line the message waits; an order until its last instant has passed. The remedy
  /// restart_worker is done here.
  virtual void send(order::ToRig message) = 0;
  /// Lets the worker finish its frame and end; `done` is called when it has, after 20 s at the latest. One
  /// that never came on the line has 1 s.
  virtual void shut_down(std::function<void()> done) = 0;
  /// As last heard from its body.
  [[nodiscard]] virtual rig::Levels levels() const { return {}; }
  /// See MayLook.
  virtual void set_may_look(bool /*allowed*/) {}
  /// The newest small picture; none so far.
  [[nodiscard]] virtual std::shared_ptr<const Picture> picture() const { return nullptr; }
};

struct LinkStatus {
  enum class State { resting, starting, attached, ending, pausing };
  State state = State::resting;
  std::optional<int> pid;
};

/// Single-threaded, on the event loop; never blocks. Destroying it lets go of the line and leaves the worker
/// to go on with what it holds.
class WorkerLink final : public RigLink {
 public:
  WorkerLink(boost::asio::io_context& loop, WorkerSetup setup, LinkCallbacks callbacks);
  ~WorkerLink() override;
  WorkerLink(const WorkerLink&) = delete;
  WorkerLink& operator=(const WorkerLink&) = delete;

  void set_clock(const ClockMapping& mapping) override;
  void set_next_due(Utc at) override;
  void start() override;
  void send(order::ToRig message) override;
  void shut_down(std::function<void()> done) override;

  [[nodiscard]] rig::Levels levels() const override { return levels_; }
  void set_may_look(bool allowed) override;
  [[nodiscard]] std::shared_ptr<const Picture> picture() const override { return picture_; }

  [[nodiscard]] LinkStatus status() const;

 private:
  using State = LinkStatus::State;

  void tick();
  void look_after_worker(BootTime now);
  void schedule_tick();

  // worker_link_process.cpp: the process's life
  void reach_or_spawn();
  [[nodiscard]] bool reach();
  void spawn();
  [[nodiscard]] bool watch_process();
  void process_ended();
  void pause(const std::string& why);
  void kill(std::string why);
  void replace(const std::string& why);

  void open_line(posix::FileDescriptor socket);
  void line_broke();
  void hear(const std::string& line);
  void hear(const WorkerHello& hello);
  void hear(const NumberedReport& report);
  void hear(const Refusal& refusal);
  void hear(const Picture& picture);
  void say_waiting();
  void acknowledge();
  void tell(const run::Input& input) { callbacks_.on_input(input); }
  void tell(const std::vector<order::Report>& reports);
  void finish();

  boost::asio::io_context& loop_;
  WorkerSetup setup_;
  LinkCallbacks callbacks_;
  OrderDesk desk_;
  WorkerClock clock_;
  std::optional<NextDue> next_due_;
  LineWatch watch_;
  rig::Levels levels_;
  bool may_look_ = false;
  std::shared_ptr<const Picture> picture_;
  RestartPause restart_pause_;
  boost::asio::steady_timer timer_;
  boost::asio::posix::stream_descriptor process_end_;
  std::optional<posix::Process> process_;
  std::shared_ptr<WorkerLine> line_;
  State state_ = State::resting;
  BootTime resume_at_{};     // when pausing
  bool fresh_ = false;       // the process was started by us and hasn't been attached yet
  bool introduced_ = false;  // the line's worker is the one we want
  std::int64_t heard_ = 0;   // the worker's last report
  std::int64_t acknowledged_ = 0;
  bool called_down_ = false;                             // the core has been told that the rig isn't ready
  std::string why_ending_;                               // when we ended it ourselves for a fault of its own
  std::function<void()> done_;                           // when shutting down
  BootTime give_up_at_{};                                // likewise
  std::shared_ptr<int> here_ = std::make_shared<int>();  // handlers hold it weakly: gone with us
};

}  // namespace noonfall::worker
