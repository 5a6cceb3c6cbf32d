// Spoken words as samples.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "lib/base/result.h"
#include "lib/time/boot_clock.h"
#include "lib/time/utc.h"

namespace noonfall::voice {

struct Sound {
  int rate = 22050;  // samples a second
  std::vector<std::int16_t> samples;

  [[nodiscard]] Duration lasts() const { return from_seconds(static_cast<double>(samples.size()) / rate); }
};

/// Of a WAV file with one channel of 16 bits, without the silence behind the last word: who says when words
/// end means the voice.
[[nodiscard]] Result<Sound> parse_wav(std::string_view bytes);

/// How many samples of silence go before the words so that their last one is heard at `ends`; the next sample
/// written is heard at `next_heard`. Negative: so many too late.
[[nodiscard]] std::int64_t silence_before(const Sound& sound, BootTime next_heard, BootTime ends);

}  // namespace noonfall::voice
