#include "lib/run/cue_speaker.h"

#include <algorithm>

#include <fmt/format.h>

namespace noonfall::run {
namespace {

using namespace std::chrono_literals;
using timeline::CueKind;

constexpr double letters_per_second = 14;  // a calm voice; common practice, no source
constexpr Duration lead_in = 200ms;        // sound outputs that sleep swallow the first syllable
constexpr Duration too_late = 500ms;

std::string rig_of(const timeline::Cue& cue, const std::vector<timeline::Lane>& lanes) {
  return cue.kind == CueKind::spoken || cue.lane >= lanes.size() ? std::string{} : lanes[cue.lane].rig;
}

}  // namespace

Duration speaking_time(const std::string& words) {
  return lead_in + from_seconds(static_cast<double>(words.size()) / letters_per_second);
}

std::string CueSpeaker::words_of(const timeline::Cue& cue, const std::string& rig,
                                 shotlog::ClockGrade grade) const {
  const bool filter_word = cue.kind == CueKind::filter_off || cue.kind == CueKind::filter_on;
  if (filter_word && mode_ != shotlog::Mode::event) {
    return fmt::format("Rehearsal, keep the camera filter on, {}.", rig);
  }
  if (cue.kind == CueKind::filter_off && grade == shotlog::ClockGrade::f) {
    return "Clock not verified, operator decides.";
  }
  return cue.words;
}

void CueSpeaker::resume(const std::vector<shotlog::CueSpoken>& before,
                        const std::vector<timeline::Lane>& lanes) {
  const auto was_spoken = [&](const timeline::Cue& cue) {
    return std::any_of(before.begin(), before.end(), [&](const shotlog::CueSpoken& spoken) {
      if (spoken.ends != cue.ends) return false;
      const auto rig = rig_of(cue, lanes);
      return spoken.words == words_of(cue, rig, shotlog::ClockGrade::a) ||
             spoken.words == words_of(cue, rig, shotlog::ClockGrade::f);
    });
  };
  cues_.erase(std::remove_if(cues_.begin(), cues_.end(), was_spoken), cues_.end());
}

void CueSpeaker::advance(Utc now, const std::vector<timeline::Lane>& lanes, Scribe& scribe, Output& out) {
  for (; next_ < cues_.size(); ++next_) {
    const auto& cue = cues_[next_];
    auto words = words_of(cue, rig_of(cue, lanes), scribe.clock().grade);
    const auto start = cue.ends - speaking_time(words);
    if (now < start) {
      out.wake = std::min(out.wake.value_or(start), start);
      return;
    }
    if (now > start + too_late) {
      scribe.write(shotlog::CueSpoken{std::move(words), cue.ends, "not spoken: its time had passed"});
      continue;
    }
    scribe.write(shotlog::CueSpoken{words, cue.ends, {}});
    out.words.push_back({std::move(words), cue.ends});
  }
}

}  // namespace noonfall::run
