#include "daemon/clock/line_assembler.h"

#include <utility>

namespace noonfall::clock {

void LineAssembler::take(std::string_view part) {
  too_long_ = too_long_ || line_.size() + part.size() > longest_line;
  if (too_long_) {
    line_.clear();
    return;
  }
  line_ += part;
}

std::vector<std::string> LineAssembler::feed(std::string_view bytes) {
  std::vector<std::string> lines;
  bytes = bytes.substr(0, most_at_once);
  for (auto end = bytes.find('\n'); end != std::string_view::npos; end = bytes.find('\n')) {
    take(bytes.substr(0, end));
    bytes.remove_prefix(end + 1);
    auto line = std::exchange(line_, {});
    if (std::exchange(too_long_, false)) continue;
    if (line.ends_with('\r')) line.pop_back();
    lines.push_back(std::move(line));
  }
  take(bytes);
  return lines;
}

}  // namespace noonfall::clock
