#include "daemon/posix/line_splitter.h"

namespace noonfall::posix {

void LineSplitter::add(std::string_view bytes) {
  if (too_long_) return;
  if (from_ > 0) {
    bytes_.erase(0, from_);
    scanned_ -= from_;
    from_ = 0;
  }
  bytes_ += bytes;
}

std::optional<std::string> LineSplitter::next() {
  if (too_long_) return std::nullopt;
  const auto end = bytes_.find('\n', scanned_);
  const auto length = (end == std::string::npos ? bytes_.size() : end) - from_ + 1;
  if (length > longest_) {
    too_long_ = true;
    bytes_.clear();
    from_ = scanned_ = 0;
    return std::nullopt;
  }
  if (end == std::string::npos) {
    scanned_ = bytes_.size();
    return std::nullopt;
  }
  auto line = bytes_.substr(from_, end - from_);
  from_ = scanned_ = end + 1;
  return line;
}

}  // namespace noonfall::posix
