// A live run in virtual time: the daemon's own clock, journal, status view and folder, on a machine whose
// clocks the test moves, with workers that are a rig and a simulated body each.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <boost/asio/io_context.hpp>

#include "daemon/event_loop/live_run.h"
#include "lib/rig/rig.h"
#include "sim/body/simulated_body.h"
#include "tests/program/run_program.h"
#include "tests/unit/clock/machine.h"
#include "tests/unit/journal/failing_calls.h"

namespace noonfall::event_loop::tests {

/// An invented field under the total eclipse of 2020-12-14, moved. "long" shoots 9 crescents from C2 - 80 s,
/// then corona; "grab" is a camera held by hand.
extern const char* const field_plan;

/// Makes a rig's body, as often as its worker is begun anew.
using MakeBody = std::function<std::shared_ptr<rig::Camera>()>;

/// A worker that answers at the instants of virtual time.
class VirtualWorker final : public worker::RigLink {
 public:
  VirtualWorker(std::int32_t index, const timeline::RigTimeline& rig, MakeBody make_body,
                const clock::ClockWatch& clock, worker::LinkCallbacks callbacks);

  void set_clock(const ClockMapping& mapping) override { clocks.push_back(mapping); }
  void set_next_due(Utc at) override { next_due = at; }
  void start() override;
  void send(order::ToRig message) override;
  void shut_down(std::function<void()> done) override;

  /// When it has something to do next.
  [[nodiscard]] Utc next() const;
  void step(Utc now);
  /// Of a simulated body.
  [[nodiscard]] const std::vector<sim::RecordedFrame>& taken() const;

  std::vector<ClockMapping> clocks;
  std::optional<Utc> next_due;
  int orders = 0;
  bool is_down = false;

 private:
  void begin_anew();
  void step_rig(Utc now, std::vector<rig::Input> inputs);
  void look_after_body(Utc now);

  std::int32_t index_;
  body::Profile profile_;
  rig::Rig rig_;
  MakeBody make_body_;
  std::shared_ptr<rig::Camera> body_;
  const clock::ClockWatch& clock_;
  worker::LinkCallbacks callbacks_;
  std::vector<rig::Input> inbox_;
  std::optional<Utc> wake_;
  std::optional<rig::DeviceAnswer> answer_;  // on its way
  Utc next_look_ = Utc::min();               // after the body
};

/// What a day has otherwise than an ordinary one.
struct DaySetup {
  std::string plan = field_plan;
  std::string faults = {};  // a fault script; empty for none
  /// Of this rig; none: a simulated one.
  std::function<MakeBody(std::size_t rig, const timeline::RigTimeline& plan, const clock::ClockWatch& clock)>
      body = {};
  std::function<void(std::size_t rig)> cycle_power = {};
  bool voice = false;  // cues are to be spoken, by nobody
  std::function<posix::FileCalls(journal::Failing&)> file_calls = journal::calls_with;
};

class VirtualDay {
 public:
  /// Ninety seconds before C2.
  explicit VirtualDay(DaySetup setup = {});
  ~VirtualDay();
  VirtualDay(const VirtualDay&) = delete;
  VirtualDay& operator=(const VirtualDay&) = delete;

  void start() { live->start(); }
  /// Until that is so, or the run is over, or an hour has passed. Whether it is so.
  [[nodiscard]] bool until(const std::function<bool()>& so);
  void pass(Duration span);
  [[nodiscard]] Utc now() const { return clock.now(); }
  [[nodiscard]] std::string answer(const std::string& words);

  /// The shot log as it is on the disk.
  [[nodiscard]] std::string log() const;
  [[nodiscard]] std::string shown() const;  // on the screen, so far

  ::noonfall::tests::ScratchFolder scratch;
  clock::tests::Machine machine;
  journal::Failing failing;  // the journal's disk
  boost::asio::io_context io;
  clock::ClockWatch clock;
  std::optional<status::StatusView> view;
  VirtualWorker* worker = nullptr;      // of the first rig
  std::vector<VirtualWorker*> workers;  // by rig; none by hand
  timeline::Timeline timeline;
  std::uint64_t seed = 1;
  run::Facts facts;
  std::string why_no_commands;  // when it can't be listened for them
  int listened = 0;             // for commands, in a folder
  bool bodies_left = false;
  bool over = false;
  std::optional<LiveRun> live;

 private:
  [[nodiscard]] start::OpenedRun opened();
  [[nodiscard]] MakeBody body_of(std::size_t rig);
  void advance();

  DaySetup setup_;
  std::vector<std::vector<sim::Fault>> faults_;  // by rig; may be shorter

  posix::FileDescriptor screen_;
  std::optional<BootTime> wake_;
  BootTime next_second_;
};

}  // namespace noonfall::event_loop::tests
