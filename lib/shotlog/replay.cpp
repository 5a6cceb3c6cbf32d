#include "lib/shotlog/replay.h"

#include <fmt/format.h>

#include "lib/shotlog/codec.h"

namespace noonfall::shotlog {

Replayed replay(std::string_view bytes) {
  Replayed out;
  std::size_t at = 0;
  std::int64_t expected = 1;
  for (int number = 1; at < bytes.size(); ++number) {
    const auto end = bytes.find('\n', at);
    if (end == std::string_view::npos) {
      out.torn_tail = true;
      break;
    }
    auto line = decode(bytes.substr(at, end - at));
    const bool last = end + 1 == bytes.size();
    at = end + 1;
    if (!line && last) {
      out.torn_tail = true;
      break;
    }
    if (!line) {
      out.damage.push_back(error_at({number, 1}, "damaged-line", line.error().front().message,
                                    "the line as it was written; it is left out, the rest is kept"));
      ++expected;
      continue;
    }
    if (line->seq != expected) {
      out.damage.push_back(error_at(
          {number, 1}, "sequence", fmt::format("line number {} follows where {} should", line->seq, expected),
          "every line, in the order written"));
    }
    expected = line->seq + 1;
    out.lines.push_back(std::move(*line));
    out.sound_size = at;
  }
  return out;
}

}  // namespace noonfall::shotlog
