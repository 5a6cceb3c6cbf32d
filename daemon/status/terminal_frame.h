// The bytes that draw the status lines in place at the end of a terminal, events scrolling above them.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace noonfall::status {

enum class Paint { plain, colour };

struct TerminalSize {
  std::size_t columns = 80;
  std::size_t rows = 24;
  bool operator==(const TerminalSize&) const = default;
};

/// The lines that fit: cut to the columns, and where there are too few rows the last line, the alarm's,
/// stays.
[[nodiscard]] std::vector<std::string> fitted_lines(const std::vector<std::string>& lines, TerminalSize size);

/// `rows_drawn` is how many status lines the last frame left above the cursor. Nothing is hidden or switched,
/// so a terminal that sees no further frame is as it should be.
[[nodiscard]] std::string terminal_frame(std::size_t rows_drawn, const std::vector<std::string>& events,
                                         const std::vector<std::string>& lines, Paint paint);

}  // namespace noonfall::status
