#include "lib/measure/explain.h"

#include <fmt/format.h>

#include "lib/body/model.h"
#include "lib/body/profile_text.h"
#include "lib/measure/stamps.h"
#include "lib/time/duration_text.h"

namespace noonfall::measure {
namespace {

using namespace std::chrono_literals;
using body::OpeningStamp;

std::string ms(Duration span) {
  return fmt::format("{:.1f} ms", in_milliseconds(span));
}

void explain_lag(const Measured& measured, OpeningStamp stamp, std::vector<std::string>& notes) {
  const auto half = ms(median(measured.lags));
  const auto most = ms(percentile(measured.lags, 0.99));
  if (stamp == OpeningStamp::told) {
    notes.push_back(fmt::format("release: by the body's own word on {} frames, median {}, 99 % within {};",
                                measured.lags.size(), half, most));
    notes.emplace_back("jitter is the widest seen, and more for what so few frames don't show.");
    return;
  }
  notes.push_back(
      fmt::format("release: NOT the true lag. The body doesn't tell when its shutter opens, only when it is "
                  "free again:"));
  notes.push_back(fmt::format(
      "median {}, 99 % within {}, the exposure taken off. The lag lies between 0 and the median, and", half,
      most));
  notes.emplace_back(
      "typical and jitter cover just that. To refine: photograph a clock that shows milliseconds (see");
  notes.emplace_back("docs/cameras.md) and put in the median and the widest deviation.");
}

void explain_noise_reduction(const Measured& measured, std::vector<std::string>& notes) {
  const auto& longest = measured.profile.single.back();
  const auto dark = longest.interval - longest.exposure - measured.profile.single.front().interval;
  if (longest.exposure < 900ms || dark < longest.exposure * 8 / 10) return;
  notes.push_back(
      fmt::format("single: a frame of {} takes {}: noise reduction of long exposures is on. Switch it off, "
                  "measure again.",
                  noonfall::to_text(longest.exposure), noonfall::to_text(longest.interval)));
}

void explain_buffer(const Measured& measured, std::vector<std::string>& notes) {
  const auto& filling = measured.filling;
  if (filling.filled) {
    notes.push_back(
        fmt::format("buffer: {} frames in a row before one had to wait for room.", filling.frames));
    return;
  }
  notes.push_back(fmt::format(
      "buffer: {} frames in a row never had to wait, so it holds at least what is said here; write_rate is",
      filling.frames));
  notes.emplace_back(
      "a cautious guess (one frame a second). Shoot on until the body slows down to learn more.");
}

void explain_bracket(const Measured& measured, OpeningStamp stamp, std::vector<std::string>& notes) {
  if (!measured.profile.brackets) return;
  const auto& profile = measured.profile;
  std::vector<exposure::Exposure> set;
  for (const auto time : measured.bracket->times)
    set.push_back({.shutter = time, .aperture = {}, .iso = {100}});
  auto predicted = profile.release.typical + body::predict_set(profile, body::Drive::bracket, set).lasts;
  if (stamp == OpeningStamp::inferred) predicted += profile.readout;
  // A button that is held hides when they were over.
  notes.push_back(fmt::format(
      "brackets: as the body offers them. {} frames {} {} from the release, {} by the pace of its bursts.",
      set.size(), stamp == OpeningStamp::told ? "took" : "were over within", ms(measured.bracket->took),
      ms(predicted)));
  notes.emplace_back("Their order isn't told: look at the pictures' times.");
}

void explain_files(const FileSizes& sizes, std::vector<std::string>& notes) {
  notes.emplace_back(
      "files: of dark frames. Where the body packs its files, those of a bright scene are larger:");
  notes.emplace_back("put in the size of a detailed one. The card and the buffer then hold fewer.");
  if (sizes.raw.value == 0)
    notes.emplace_back("files: no raw file was taken; raw is three times the jpeg, a guess.");
  if (sizes.jpeg.value == 0)
    notes.emplace_back("files: no jpeg file was taken; jpeg is a third of the raw, a guess.");
}

}  // namespace

std::vector<std::string> notes_on(const Measured& measured, const body::Description& told,
                                  const FileSizes& sizes) {
  std::vector<std::string> notes;
  notes.push_back(fmt::format("Measured on {}, serial {}, in {} frames.",
                              told.model.empty() ? "a body" : told.model, told.serial, measured.frames));
  explain_lag(measured, told.opening, notes);
  explain_noise_reduction(measured, notes);
  notes.emplace_back(told.opening == OpeningStamp::told
                         ? "readout: from the shutter's closing until the next setting was taken."
                         : "readout: the other half of that time; the sum of both is what was measured.");
  explain_buffer(measured, notes);
  explain_bracket(measured, told.opening, notes);
  explain_files(sizes, notes);
  notes.emplace_back("shutter_types, battery_frames: not measured; put in what you know.");
  if (!told.card) notes.emplace_back("card: not told by the body; put in the card's free space.");
  if (told.clock_offset) {
    notes.push_back(
        fmt::format("clock: the body's was {:+.0f} s off the host's, at a resolution of a second.",
                    in_seconds(*told.clock_offset)));
  }
  return notes;
}

}  // namespace noonfall::measure
