// What the daemon answers an operator's command with, and how it goes over the line.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace noonfall::control {

/// A command is one line of at most so many bytes, its '\n' not counted.
inline constexpr std::size_t longest_command = 4096;

struct Answer {
  bool ok = false;  // carried out
  std::string words;
  bool operator==(const Answer&) const = default;
};

/// {"ok":true,"words":"…"} and '\n'; bytes that aren't UTF-8 are replaced.
[[nodiscard]] std::string to_line(const Answer& answer);
/// The reverse, with or without the '\n'. Empty for anything else; unknown members are ignored.
[[nodiscard]] std::optional<Answer> parse_answer(std::string_view line);

}  // namespace noonfall::control
