#include "daemon/status/terminal_frame.h"

#include <string_view>

#include <fmt/format.h>

namespace noonfall::status {
namespace {

// ECMA-48: CUU moves up, EL and ED erase to the end of line and screen, SGR paints.
constexpr std::string_view erase_rest_of_line = "\x1b[K";
constexpr std::string_view erase_rest_of_screen = "\x1b[J";
constexpr std::string_view ordinary = "\x1b[0m";

/// By tone. At night red on black is all there is: eyes keep their adaptation (common practice, no source);
/// what is urgent is inverse there.
constexpr std::string_view day[] = {"", "\x1b[1m", "\x1b[1;31m"};
constexpr std::string_view night[] = {"\x1b[31;40m", "\x1b[31;40m", "\x1b[31;40;7m"};

std::string painted(const Row& row, Paint paint) {
  if (paint == Paint::plain) return fmt::format("{}{}", row.text, erase_rest_of_line);
  const auto colour = (paint == Paint::night ? night : day)[static_cast<std::size_t>(row.tone)];
  if (colour.empty()) return fmt::format("{}{}", row.text, erase_rest_of_line);
  // Erased in the row's own colours, so that the whole row is dark at night.
  return fmt::format("{}{}{}{}", colour, row.text, paint == Paint::night ? erase_rest_of_line : "",
                     ordinary) +
         std::string{paint == Paint::night ? "" : erase_rest_of_line};
}

}  // namespace

std::string terminal_frame(std::size_t rows_drawn, const std::vector<std::string>& leaving,
                           const std::vector<Row>& rows, Paint paint) {
  std::string bytes = "\r";
  if (rows_drawn > 0) bytes += fmt::format("\x1b[{}A", rows_drawn);
  for (const auto& line : leaving) {
    const bool alarm = line.find("ALARM ") != std::string::npos;
    bytes += painted({line, alarm ? Tone::urgent : Tone::ordinary}, paint) + "\r\n";
  }
  for (const auto& row : rows) bytes += painted(row, paint) + "\r\n";
  return bytes.append(erase_rest_of_screen);
}

}  // namespace noonfall::status
