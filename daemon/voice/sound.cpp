#include "daemon/voice/sound.h"

#include <cmath>
#include <cstdlib>

namespace noonfall::voice {
namespace {

constexpr int quiet = 300;  // of 32767, some 1 %: what espeak-ng leaves behind a word is less

std::uint32_t number_at(std::string_view bytes, std::size_t at, int size) {
  std::uint32_t number = 0;
  for (int n = size; n-- > 0;)
    number = number << 8U | static_cast<unsigned char>(bytes[at + static_cast<std::size_t>(n)]);
  return number;
}

tl::unexpected<Diagnostics> not_ours(const char* what) {
  return fail(error_at({}, "sound", what, "a WAV file with one channel of 16 bits"));
}

}  // namespace

// "Multimedia Programming Interface and Data Specifications 1.0" (IBM, Microsoft 1991): RIFF, then chunks of
// a name of four letters, a size and as many bytes, padded to an even number.
Result<Sound> parse_wav(std::string_view bytes) {
  constexpr std::size_t head = 12;
  if (bytes.size() < head || bytes.substr(0, 4) != "RIFF" || bytes.substr(8, 4) != "WAVE")
    return not_ours("no WAV file");
  Sound sound;
  bool known = false;
  for (std::size_t at = head; at + 8 <= bytes.size();) {
    const auto name = bytes.substr(at, 4);
    const std::size_t size = number_at(bytes, at + 4, 4);
    const auto chunk = bytes.substr(at + 8, size);
    if (name == "fmt " && chunk.size() >= 16) {
      sound.rate = static_cast<int>(number_at(chunk, 4, 4));
      known = number_at(chunk, 0, 2) == 1 && number_at(chunk, 2, 2) == 1 && number_at(chunk, 14, 2) == 16 &&
              sound.rate >= 4000 && sound.rate <= 192'000;
    }
    if (name == "data" && known) {
      for (std::size_t n = 0; n + 2 <= chunk.size(); n += 2)
        sound.samples.push_back(static_cast<std::int16_t>(number_at(chunk, n, 2)));
      break;
    }
    at += 8 + size + size % 2;
  }
  while (!sound.samples.empty() && std::abs(sound.samples.back()) < quiet) sound.samples.pop_back();
  if (sound.samples.empty()) return not_ours("no sound in it");
  return sound;
}

std::int64_t silence_before(const Sound& sound, BootTime next_heard, BootTime ends) {
  return std::llround(in_seconds(ends - next_heard) * sound.rate) -
         static_cast<std::int64_t>(sound.samples.size());
}

}  // namespace noonfall::voice
