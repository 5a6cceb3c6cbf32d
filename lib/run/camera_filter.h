// What one rig's camera filter is taken to be, and the words that move it: it follows what was said in full
// and what a person confirmed, never the clock's edge.
#pragma once

#include <cstddef>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "lib/run/cue_speaker.h"
#include "lib/run/input_output.h"
#include "lib/run/log_writer.h"
#include "lib/shotlog/account.h"
#include "lib/timeline/timeline.h"

namespace noonfall::run {

/// Off or unknown while no window in force covers it, the filter is called back on at once, and again until
/// that was said in full or a person confirms it. In a rehearsal no window is in force: the filter stays on.
class CameraFilter {
 public:
  /// Of a rig in the plan, which has a filter.
  CameraFilter(const timeline::Timeline& timeline, std::size_t rig, shotlog::Mode mode);
  /// Of a rig that was in an earlier plan only.
  CameraFilter(std::string rig, shotlog::Mode mode, plan::Language language);

  /// Nobody has said yet where the filter is; after an earlier core, what the log's words left it in.
  void begin(LogWriter& log);
  void resume(const shotlog::Account& before, LogWriter& log);

  void skip_step(const std::string& name) { skipped_.insert(name); }
  /// A person's word. Words under way that it contradicts count for nothing, but for those to take the filter
  /// off.
  void confirm(shotlog::FilterState state, VoiceState& voice, LogWriter& log);
  /// Nobody will be there to call it back later: it belongs on from now.
  void give_up_window();

  /// What became of words given to the voice.
  void take(const Voiced& voiced);

  void advance(Utc now, VoiceState& voice, LogWriter& log, Output& out);

  /// All that it may have said.
  [[nodiscard]] std::vector<std::string> words() const;

  [[nodiscard]] shotlog::FilterState state() const { return state_; }
  /// On, and nothing is being said that would change it.
  [[nodiscard]] bool at_rest() const { return state_ == shotlog::FilterState::on && !saying_; }
  [[nodiscard]] bool finished() const { return at_rest() && !off_ && !on_; }

 private:
  struct UnfilteredStep {
    std::string name;
    Utc until;
  };
  /// Filter words under way.
  struct Saying {
    shotlog::FilterState leaves = shotlog::FilterState::unknown;
    Utc ends;
    bool printed = false;
    std::string words;
    Utc told_to_end;       // the voice was
    bool awaited = false;  // the voice has yet to tell whether they were heard
    bool unheard = false;
  };

  void finish_words(Utc now, LogWriter& log, Output& out);
  void bring_back(Utc now, VoiceState& voice, LogWriter& log, Output& out);
  void take_off(Utc now, const VoiceState& voice, LogWriter& log, Output& out);
  void take_off_late(Utc now, const VoiceState& voice, LogWriter& log, Output& out);
  void say_on_again(Utc now, const VoiceState& voice, LogWriter& log, Output& out);
  [[nodiscard]] std::string why_not_off(Utc now, Utc start) const;
  [[nodiscard]] std::string off_words(shotlog::ClockGrade grade) const;
  [[nodiscard]] std::string on_words() const;
  [[nodiscard]] Utc wanted_until() const;
  [[nodiscard]] std::optional<Utc> covered_until(Utc now, const VoiceState& voice) const;
  void say(shotlog::CueLine cue, const VoiceState& voice, Utc now, LogWriter& log, Output& out);
  void set(shotlog::FilterState state, std::string why, LogWriter& log);

  std::string rig_;
  shotlog::Mode mode_;
  plan::Language language_;
  shotlog::FilterState state_;
  bool confirmed_ = false;
  bool first_words_ = true;  // nothing was said or confirmed before, by this core or an earlier one
  std::optional<timeline::FilterWindow> window_;
  std::vector<UnfilteredStep> unfiltered_;
  std::set<std::string> skipped_;
  std::optional<timeline::Cue> off_;  // yet to come
  std::optional<timeline::Cue> on_;
  std::string off_text_;  // the plan's, of a rig that has a window
  std::string back_on_;
  std::optional<Utc> on_again_;  // the words of the window's end, once more
  Utc off_again_from_ = Utc::min();
  std::optional<Saying> saying_;
};

}  // namespace noonfall::run
