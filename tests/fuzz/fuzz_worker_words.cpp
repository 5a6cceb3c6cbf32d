// Bytes off the line between daemon and worker, and off a body's record: what is taken reads back the same,
// what isn't has a reason.
#include <algorithm>

#include "daemon/posix/line_splitter.h"
#include "daemon/worker/body_record.h"
#include "daemon/worker/codec.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

namespace {

template <class Words, class Decode>
void check(std::string_view line, Decode decode) {
  const Result<Words> words = decode(line);
  if (!words) {
    fuzz::require(words.error().size() == 1, "one reason a line");
    const auto& error = words.error().front();
    fuzz::require(!error.message.empty() && !error.hint.empty(), "a refused line has a reason and a remedy");
    fuzz::require(error.code == "bad-line" || error.code == "unknown-say", "a refusal is one of two");
    return;
  }
  const auto written = worker::encode(*words);
  fuzz::require(std::ranges::count(written, '\n') == 1 && written.ends_with('\n'), "words are one line");
  const auto again = decode(std::string_view{written}.substr(0, written.size() - 1));
  fuzz::require(again.has_value(), "what was written can be read");
  fuzz::require(worker::encode(*again) == written, "what is read back says the same");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto text = fuzz::text_of(data, size);
  posix::LineSplitter splitter{4096};
  splitter.add(text);
  while (const auto line = splitter.next()) {
    fuzz::require(line->size() < 4096, "no line is longer than the limit");
    check<worker::ToWorker>(*line, worker::decode_to_worker);
    check<worker::FromWorker>(*line, worker::decode_from_worker);
  }
  for (const auto& frame : worker::read_record(text)) {
    fuzz::require(worker::read_record(worker::to_line(frame)).size() == 1, "a picture's line reads back");
  }
  return 0;
}
