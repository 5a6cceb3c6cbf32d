// An operator's words to a command and back.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lib/base/result.h"
#include "lib/run/words.h"

namespace noonfall::run {

/// What a command may speak of: rigs in the order of the timeline, steps in any.
struct CommandNames {
  std::vector<std::string> rigs;
  std::vector<std::string> steps;
};

/// `hold RIG`, `resume RIG`, `trim RIG -1 stop`, `skip STEP`, `filter RIG on|off`, `clock ok` and `stop`.
/// Names stand as they are, without quotes, whatever spaces they hold. A trim is a number of whole, half or
/// third stops from -6 to 6 ("+0.5 stops", "-2/3 stop"; no sign is plus). Errors have their column on line 1.
/// The result's `words` are one fixed way to say it, and parse to the same command.
[[nodiscard]] Result<Command> parse_command(std::string_view words, const CommandNames& names);

/// All of them, a line each with what it does, for a person who asks for help.
[[nodiscard]] std::string_view command_list();

/// By how much an operator makes a rig's frames brighter or darker: stops in halves or thirds, from -6 to 6:
/// "-1", "+0.5", "2/3", "+3/2". Empty when refused.
[[nodiscard]] std::optional<double> parse_trim(std::string_view text);

/// "+1/3 stop", "-1.5 stops", "0 stops": always with its sign and unit. What parse_trim gave reads back to
/// the same value.
[[nodiscard]] std::string trim_text(double stops);

}  // namespace noonfall::run
