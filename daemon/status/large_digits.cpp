#include "daemon/status/large_digits.h"

#include <algorithm>

#include <fmt/format.h>

namespace noonfall::status {
namespace {

using Glyph = std::array<const char*, digit_rows>;
constexpr Glyph digits[] = {{"###", "# #", "# #", "# #", "###"}, {" # ", "## ", " # ", " # ", "###"},
                            {"###", "  #", "###", "#  ", "###"}, {"###", "  #", " ##", "  #", "###"},
                            {"# #", "# #", "###", "  #", "  #"}, {"###", "#  ", "###", "  #", "###"},
                            {"###", "#  ", "###", "# #", "###"}, {"###", "  #", "  #", "  #", "  #"},
                            {"###", "# #", "###", "# #", "###"}, {"###", "# #", "###", "  #", "###"}};
constexpr Glyph colon{" ", "#", " ", "#", " "};

}  // namespace

std::string clock_span(Duration left) {
  using namespace std::chrono;
  const auto whole = std::max<std::int64_t>(ceil<seconds>(left).count(), 0);
  if (whole < 3600) return fmt::format("{}:{:02}", whole / 60, whole % 60);
  return fmt::format("{}:{:02}:{:02}", whole / 3600, whole % 3600 / 60, whole % 60);
}

std::array<std::string, digit_rows> large_digits(const std::string& digits_and_colons) {
  std::array<std::string, digit_rows> rows;
  for (const char c : digits_and_colons) {
    const auto& glyph = c == ':' ? colon : digits[static_cast<std::size_t>(c - '0') % 10];
    for (std::size_t row = 0; row < digit_rows; ++row) {
      if (!rows[row].empty()) rows[row] += "  ";
      for (const char* dot = glyph[row]; *dot != '\0'; ++dot) rows[row] += *dot == '#' ? "██" : "  ";
    }
  }
  return rows;
}

}  // namespace noonfall::status
