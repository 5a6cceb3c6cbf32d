// Bytes off the line of a camera process that inspects bodies: what is taken reads back to the same value,
// what isn't has a reason.
#include <algorithm>

#include "daemon/cameras/inspection_words.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

namespace {

template <class T>
void check(const Result<T>& words, Result<T> (*decode)(std::string_view)) {
  if (!words) {
    fuzz::require(words.error().size() == 1 && words.error().front().code == "camera-line",
                  "a refused line has one reason");
    return;
  }
  const auto written = cameras::encode(*words);
  fuzz::require(std::ranges::count(written, '\n') == 1 && written.ends_with('\n'), "words are one line");
  const auto again = decode(written);
  fuzz::require(again.has_value(), "what was written can be read");
  fuzz::require(cameras::encode(*again) == written, "what is read back says the same");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto text = fuzz::text_of(data, size);
  check(cameras::decode_said(text), cameras::decode_said);
  check(cameras::decode_settings(text), cameras::decode_settings);
  return 0;
}
