// Which words are due: spoken early enough to end at their instant, and never late.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "lib/run/input_output.h"
#include "lib/run/log_writer.h"
#include "lib/timeline/timeline.h"

namespace noonfall::run {

/// Estimated from the length of the text, where nobody knows better.
[[nodiscard]] Duration speaking_time(const std::string& words);

/// So much later than planned words may still begin; then they are left out, for this reason.
inline constexpr Duration latest_start = std::chrono::milliseconds{500};
inline constexpr const char* not_in_time = "not spoken: its time had passed";

/// One voice says everything; while it calls a camera filter back on, no other words begin. What it has not
/// ready is printed at the same times.
struct VoiceState {
  bool there = false;  // one that says everything and tells nothing: a rehearsal's
  Utc free_from = Utc::min();
  std::map<std::string, Duration> ready{};  // words that can be played, and how long that takes

  [[nodiscard]] bool tells(const std::string& words) const { return ready.contains(words); }
  [[nodiscard]] bool speaks(const std::string& words) const { return there || tells(words); }
  /// From the moment they are given to it.
  [[nodiscard]] Duration takes(const std::string& words) const;
};

/// All but the words on camera filters, which belong to the filters.
class CueSpeaker {
 public:
  explicit CueSpeaker(const std::vector<timeline::Cue>& cues);

  /// Leaves out what an earlier core spoke or passed over.
  void resume(const std::vector<shotlog::CueLine>& before);
  void advance(Utc now, const VoiceState& voice, LogWriter& log, Output& out);
  [[nodiscard]] bool finished() const { return next_ == cues_.size(); }
  [[nodiscard]] std::vector<std::string> words() const;

 private:
  std::vector<timeline::Cue> cues_;
  std::size_t next_ = 0;
};

}  // namespace noonfall::run
