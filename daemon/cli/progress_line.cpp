#include "daemon/cli/progress_line.h"

#include <ostream>

#include <unistd.h>

#include <fmt/format.h>

#include "lib/base/plain_text.h"

namespace noonfall::cli {

ProgressLine::ProgressLine(std::ostream& err) : err_{err}, terminal_{::isatty(STDERR_FILENO) == 1} {}

void ProgressLine::show(const std::string& part, int done, int of, const char* things) {
  const bool same = part == part_;
  part_ = part;
  if (terminal_) {
    const auto line = fmt::format("\r  {} of {} {}: {:<24}", done, of, things, plain_line(part));
    [[maybe_unused]] const auto written = ::write(STDERR_FILENO, line.data(), line.size());
  } else if (!same) {
    err_ << fmt::format("  {} of {} {}: {}\n", done, of, things, part) << std::flush;
  }
}

void ProgressLine::end() {
  if (terminal_ && !part_.empty()) err_ << '\n' << std::flush;
  part_.clear();
}

}  // namespace noonfall::cli
