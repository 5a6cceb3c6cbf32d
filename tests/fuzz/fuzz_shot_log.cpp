// The shot log after a crash or a bad card: replay never fails, keeps what is sound, and says what isn't; and
// whatever it tells, a report of it is whole.
#include <algorithm>

#include "lib/report/report.h"
#include "lib/shotlog/checksum.h"
#include "lib/shotlog/codec.h"
#include "lib/shotlog/replay.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

namespace {

/// The first line of `text` as a sealed one: inputs don't guess checksums, and decode's insides are wanted
/// too.
std::string sealed(std::string_view text) {
  auto object = text.substr(0, text.find('\n'));
  if (object.ends_with('}')) object.remove_suffix(1);
  return std::string{object} + ",\"crc\":\"" + shotlog::crc32c_text(object) + "\"}";
}

bool is_plain(const std::string& text) {
  return std::none_of(text.begin(), text.end(),
                      [](char c) { return static_cast<unsigned char>(c) < 0x20 && c != '\n'; });
}

void check_report(shotlog::Replayed log) {
  const auto summary = report::summarise(log);
  if (!summary) return;
  const auto page = report::to_html(*summary, {});
  fuzz::require(page.ends_with("</body></html>\n"), "a page is whole");
  fuzz::require(page.find("<script") == std::string::npos, "a log's markup is none on the page");
  fuzz::require(is_plain(page) && is_plain(report::to_json(*summary)), "a report commands no terminal");
}

void check_line(std::string_view text) {
  const auto line = shotlog::decode(sealed(text));
  if (!line) {
    fuzz::require(has_errors(line.error()), "a refused line has a reason");
    return;
  }
  auto written = shotlog::encode(*line);
  fuzz::require(written.ends_with('\n'), "a line ends");
  written.pop_back();
  const auto again = shotlog::decode(written);
  fuzz::require(again.has_value(), "a written line can be read");
  fuzz::require(shotlog::encode(*again) == written + '\n', "a line read back says the same");
  shotlog::Replayed log;
  log.lines = {*line};
  check_report(std::move(log));
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto text = fuzz::text_of(data, size);
  const auto log = shotlog::replay(text);
  fuzz::require(log.sound_size <= size, "the sound part is a part");
  fuzz::require(log.lines.empty() == (log.sound_size == 0), "lines and their bytes go together");
  const auto again = shotlog::replay(text.substr(0, log.sound_size));
  fuzz::require(again.lines == log.lines && !again.torn_tail,
                "a log cut to its sound part replays to the same lines");
  check_line(text);
  check_report(log);
  return 0;
}
