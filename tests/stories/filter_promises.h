// The promises on camera filters: when one is off or unknown outside its window, who calls it back how soon;
// and which frames are taken meanwhile.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "tests/stories/record.h"

namespace noonfall::stories {

/// Takes the moments of a record one by one. The filter is where a person who does as told has it: what the
/// last words said in full, or that person's own word; unknown before the first, and after half a word. In a
/// rehearsal it is on at first.
class FilterPromises {
 public:
  void take(const Moment& moment);
  [[nodiscard]] const std::vector<std::string>& broken() const { return broken_; }

 private:
  struct Saying {
    shotlog::FilterState leaves = shotlog::FilterState::unknown;
    Utc begun;
    Utc ends;  // true time
  };
  struct Filter {
    shotlog::FilterState told = shotlog::FilterState::unknown;
    shotlog::FilterState logged = shotlog::FilterState::unknown;
    std::optional<Saying> saying;
    std::optional<Utc> owed_since;  // its calling back could have begun
    bool warned = false;            // that a body which went silent may still take a frame
  };

  void pass_to(const Moment& moment);
  void pass(const std::string& rig, Filter& filter, const Moment& until);
  void finish_words(Filter& filter, Utc until) const;
  [[nodiscard]] std::optional<Utc> uncovered_from(const std::string& rig, Utc from, Utc until) const;

  void happened(const Moment& moment, const Began& began);
  void happened(const Moment& moment, const Ended& ended);
  void happened(const Moment& moment, const Stalled& stalled);
  void happened(const Moment& moment, const WentOn& went_on);
  void happened(const Moment& moment, const ClockMoved& moved);
  void happened(const Moment& moment, const Stepped& stepped);
  void happened(const Moment& moment, const Shot& shot);
  void unfiltered(const Moment& moment, const Shot& shot, const std::string& what);

  void confirmed(const shotlog::CommandLine& command);
  void logged(const Moment& moment, const shotlog::FilterChange& change);
  void said(const Moment& moment, const std::string& words, Utc ends, shotlog::ClockGrade grade);
  void told_off(const Moment& moment, const std::string& rig, Utc ends, shotlog::ClockGrade grade);
  void say(const std::string& rig, shotlog::FilterState leaves, const Moment& moment, Utc ends);
  void nobody_can_speak();
  [[nodiscard]] static const timeline::RigTimeline* rig_of(const timeline::Timeline* timeline,
                                                           const std::string& rig);
  void breaks(const Moment& moment, const std::string& what);

  const timeline::Timeline* in_force_ = nullptr;   // for words
  const timeline::Timeline* for_shots_ = nullptr;  // from a core's first step on
  std::map<std::string, Filter> filters_;
  bool rehearsal_ = false;
  bool can_speak_ = false;
  bool given_up_ = false;  // the core was told to stop or to end: no window is in force
  Utc voice_free_ = Utc::min();
  Utc clock_moved_ = Utc::min();
  std::optional<Utc> last_at_;
  Utc last_reads_;
  Utc last_now_;
  std::vector<std::string> broken_;
};

}  // namespace noonfall::stories
