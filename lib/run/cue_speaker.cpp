#include "lib/run/cue_speaker.h"

#include <algorithm>

namespace noonfall::run {
namespace {

using namespace std::chrono_literals;
using timeline::CueKind;

constexpr double letters_per_second = 14;  // a calm voice; common practice, no source
constexpr Duration lead_in = 200ms;        // sound outputs that sleep swallow the first syllable

bool of_a_filter(const timeline::Cue& cue) {
  return cue.kind == CueKind::filter_off || cue.kind == CueKind::filter_on;
}

}  // namespace

Duration speaking_time(const std::string& words) {
  return lead_in + from_seconds(static_cast<double>(words.size()) / letters_per_second);
}

Duration VoiceState::takes(const std::string& words) const {
  const auto known = ready.find(words);
  return known == ready.end() ? speaking_time(words) : lead_in + known->second;
}

CueSpeaker::CueSpeaker(const std::vector<timeline::Cue>& cues) {
  std::remove_copy_if(cues.begin(), cues.end(), std::back_inserter(cues_), of_a_filter);
}

void CueSpeaker::resume(const std::vector<shotlog::CueLine>& before) {
  const auto was_spoken = [&](const timeline::Cue& cue) {
    return std::any_of(before.begin(), before.end(), [&](const shotlog::CueLine& spoken) {
      return spoken.ends == cue.ends && spoken.words == cue.words;
    });
  };
  cues_.erase(std::remove_if(cues_.begin(), cues_.end(), was_spoken), cues_.end());
}

void CueSpeaker::advance(Utc now, const VoiceState& voice, LogWriter& log, Output& out) {
  for (; next_ < cues_.size(); ++next_) {
    const auto& cue = cues_[next_];
    const auto start = cue.ends - voice.takes(cue.words);
    if (now < start) return out.wake_at(start);
    if (now > start + latest_start) {
      log.write(shotlog::CueLine{cue.words, cue.ends, not_in_time});
      continue;
    }
    if (now < voice.free_from) return out.wake_at(voice.free_from);
    const bool spoken = voice.speaks(cue.words);
    log.write(shotlog::CueLine{.words = cue.words, .ends = cue.ends, .printed = !spoken});
    out.announcements.push_back(
        {cue.words, cue.ends, cue.ends + latest_start, spoken, cue.kind == CueKind::eyes});
  }
}

std::vector<std::string> CueSpeaker::words() const {
  std::vector<std::string> all;
  for (auto cue = next_; cue < cues_.size(); ++cue) all.push_back(cues_[cue].words);
  return all;
}

}  // namespace noonfall::run
