// Which words are due: spoken early enough to end at their instant, never late, and never "filter off" when
// that can't be vouched for.
#pragma once

#include <string>
#include <vector>

#include "lib/run/scribe.h"
#include "lib/run/words.h"
#include "lib/timeline/timeline.h"

namespace noonfall::run {

/// Estimated from the length of the text; a voice port that knows better waits out the difference.
[[nodiscard]] Duration speaking_time(const std::string& words);

class CueSpeaker {
 public:
  CueSpeaker(const std::vector<timeline::Cue>& cues, shotlog::Mode mode) : cues_{cues}, mode_{mode} {}

  /// Leaves out what an earlier core spoke or passed over.
  void resume(const std::vector<shotlog::CueSpoken>& before, const std::vector<timeline::Lane>& lanes);
  void advance(Utc now, const std::vector<timeline::Lane>& lanes, Scribe& scribe, Output& out);
  [[nodiscard]] bool finished() const { return next_ == cues_.size(); }

 private:
  [[nodiscard]] std::string words_of(const timeline::Cue& cue, const std::string& rig,
                                     shotlog::ClockGrade grade) const;

  std::vector<timeline::Cue> cues_;
  shotlog::Mode mode_;
  std::size_t next_ = 0;
};

}  // namespace noonfall::run
