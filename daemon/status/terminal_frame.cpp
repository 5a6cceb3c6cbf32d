#include "daemon/status/terminal_frame.h"

#include <algorithm>
#include <string_view>

#include <fmt/format.h>

#include "daemon/status/columns.h"

namespace noonfall::status {
namespace {

// ECMA-48: CUU moves up, EL and ED erase to the end of line and screen, SGR paints.
constexpr std::string_view erase_rest_of_line = "\x1b[K";
constexpr std::string_view erase_rest_of_screen = "\x1b[J";
constexpr std::string_view bold_red = "\x1b[1;31m";
constexpr std::string_view bold = "\x1b[1m";
constexpr std::string_view ordinary = "\x1b[0m";

bool is_urgent(std::string_view line) {
  for (const std::string_view word :
       {"ALARM ", " AWAY ", " AWAY:", "filter OFF", "filter UNKNOWN", "not verified"}) {
    if (line.find(word) != std::string_view::npos) return true;
  }
  return false;
}

bool is_rehearsal(std::string_view line) {
  return line.find("keep the camera filter on") != std::string_view::npos;
}

std::string painted(const std::string& line, Paint paint) {
  if (paint == Paint::plain) return line;
  if (is_urgent(line)) return fmt::format("{}{}{}", bold_red, line, ordinary);
  if (is_rehearsal(line)) return fmt::format("{}{}{}", bold, line, ordinary);
  return line;
}

}  // namespace

std::vector<std::string> fitted_lines(const std::vector<std::string>& lines, TerminalSize size) {
  // A row stays free for the cursor, and a column, because a full last column wraps on some terminals.
  const auto rows = std::max<std::size_t>(size.rows, 2) - 1;
  const auto width = std::max<std::size_t>(size.columns, 2) - 1;
  std::vector<std::string> out;
  for (std::size_t n = 0; n < lines.size(); ++n) {
    const bool last = n + 1 == lines.size();
    if (!last && out.size() + 1 >= rows) continue;
    out.push_back(fitted(lines[n], width));
  }
  return out;
}

std::string terminal_frame(std::size_t rows_drawn, const std::vector<std::string>& events,
                           const std::vector<std::string>& lines, Paint paint) {
  std::string bytes = "\r";
  if (rows_drawn > 0) bytes += fmt::format("\x1b[{}A", rows_drawn);
  for (const auto* part : {&events, &lines}) {
    for (const auto& line : *part) bytes += fmt::format("{}{}\r\n", painted(line, paint), erase_rest_of_line);
  }
  return bytes.append(erase_rest_of_screen);
}

}  // namespace noonfall::status
