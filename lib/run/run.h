// The core: given the time and what has happened, what to ask of the rigs, what to say, what to write down,
// and when to look again. The rehearsal and the daemon both run it.
#pragma once

#include <cstdint>
#include <map>
#include <span>
#include <string>
#include <vector>

#include "lib/look/sun_watch.h"
#include "lib/run/camera_filter.h"
#include "lib/run/cue_speaker.h"
#include "lib/run/header.h"
#include "lib/run/history.h"
#include "lib/run/input_output.h"
#include "lib/run/log_writer.h"
#include "lib/run/rig_scheduler.h"
#include "lib/timeline/sentences.h"
#include "lib/timeline/timeline.h"

namespace noonfall::run {

/// A value without a clock: `now` is an argument and never goes back. Extra steps without inputs change
/// nothing; a late one only passes over more. Targets never move, a failed frame never stops the run, no
/// backlog is caught up.
class Run {
 public:
  Run(const timeline::Timeline& timeline, const Facts& facts, shotlog::ClockState clock);
  /// Goes on where an earlier core stopped, however it did: nothing it asked for is asked for again. Where
  /// its header was another (another plan, site or body), says so by an amendment.
  Run(const timeline::Timeline& timeline, const Facts& facts, shotlog::ClockState clock,
      shotlog::Account before);

  [[nodiscard]] Output step(Utc now, std::span<const Input> inputs);
  /// What an operator may speak of.
  [[nodiscard]] shotlog::CommandNames names() const;
  /// All that may be said from here on, those on filters first; by their instants.
  [[nodiscard]] std::vector<std::string> words() const;

 private:
  void take(const Input& input, Utc now, Output& out);
  void take(const Request& request, Utc now, Output& out);
  [[nodiscard]] std::string why_not(const Request& request, Utc now);
  [[nodiscard]] bool is_one_too_many(const shotlog::Command& command, Utc now);
  void note(std::string words, LineRation& ration, Utc now);
  void tell_left_out(Utc now, Output& out);
  void take(const Voiced& voiced);
  void take(const PictureSeen& looked, Utc now, Output& out);
  void ask_for_hands(std::size_t rig, timeline::Sentence request, Utc now, Output& out);
  void carry_out(const shotlog::Command& command, Utc now, Output& out);
  [[nodiscard]] RigScheduler* rig_of(std::int32_t rig);
  [[nodiscard]] RigScheduler* rig_of(const shotlog::Command& command);
  void begin(Utc now, Output& out);
  void go_on(Utc now, Output& out);
  void resume_filters();
  void advance_filters(Utc now, Output& out);
  void give_up_windows();
  void give_up_other_rigs();

  std::vector<timeline::RigTimeline> plans_;
  std::vector<timeline::Skipped> left_out_;
  plan::Language language_;
  shotlog::Header header_;
  std::vector<RigScheduler> rigs_;
  std::map<std::string, CameraFilter> filters_;  // by rig, those off the plan that must still go on too
  contacts::Circumstances sky_;
  std::map<std::size_t, look::SunWatch> watches_;  // by rig, those that see the Sun through a filter
  std::map<std::size_t, shotlog::Look> looked_;    // by rig, as logged last
  VoiceState voice_;
  CueSpeaker cues_;
  LogWriter log_;
  LineRation
      carried_out_;  // commands; each of these counts apart, so that no flood keeps out another's lines
  LineRation refused_;
  LineRation remarks_;
  std::int64_t last_order_id_ = 0;
  std::int64_t last_logged_order_ = 0;  // of an earlier core
  bool begun_ = false;
  bool stopping_ = false;
  bool finished_ = false;
  std::optional<shotlog::Account> before_;
};

}  // namespace noonfall::run
