// What a run has come to so far, kept by its plan and the lines of its log.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/status/status_facts.h"
#include "lib/timeline/timeline.h"

namespace noonfall::status {

class StatusLedger {
 public:
  explicit StatusLedger(const timeline::Timeline& timeline, shotlog::Mode mode = shotlog::Mode::event);

  /// In their order; those of the log before a restart as well.
  void take(const shotlog::Line& line);
  /// Of the daemon itself, not of the log; until it is over.
  void alarm(Utc at, std::string words) { alarms_[own_alarm] = Alarm{at, std::move(words)}; }
  void alarm_over() { alarms_.erase(own_alarm); }

  /// Everything but the local clock, the clock's source and the speed. A rig is `starting` until a line says
  /// that its body is ready.
  [[nodiscard]] StatusFacts facts(Utc now) const;

 private:
  struct Rig {
    RigStatus status;
    bool held = false;
    std::map<shotlog::FrameName, int RigStatus::*>
        counted;  // where each frame is, until a later word moves it
  };

  void saw(const shotlog::Outcome& outcome);
  void saw(const shotlog::CueSpoken& cue, Utc at);
  void saw(const shotlog::FilterChange& change);
  void saw(const shotlog::Skip& skip, Utc at);
  void saw(const shotlog::Fault& fault, Utc at);
  void saw(const shotlog::CommandLine& command);
  [[nodiscard]] std::optional<Alarm> worst_alarm() const;
  void count(const shotlog::FrameName& frame, int RigStatus::*where);
  void ready(const std::string& rig);
  void set_held(const std::string& rig, bool held);
  [[nodiscard]] Rig* find(const std::string& rig);
  void fill_schedule(const timeline::RigTimeline& rig, Utc now, RigStatus& out) const;

  timeline::Timeline timeline_;
  shotlog::Mode mode_;
  shotlog::ClockState clock_;
  std::vector<Rig> rigs_;                              // as the timeline's rigs
  static constexpr const char* own_alarm = "daemon/";  // no rig is called so
  std::map<std::string, Alarm>
      alarms_;  // by what they are of: a rig that is away, steps left out, the daemon
  std::map<std::string, Utc> filters_late_;  // by rig, of any plan: called back on late, and not on yet
};

}  // namespace noonfall::status
