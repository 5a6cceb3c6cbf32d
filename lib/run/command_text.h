// What an operator types, as a command, and back.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "lib/base/result.h"
#include "lib/run/words.h"

namespace noonfall::run {

/// What the words of a command may name; rigs by their index in the timeline.
struct CommandNames {
  std::vector<std::string> rigs;
  std::vector<std::string> steps;
};

/// `hold RIG`, `resume RIG`, `trim RIG -1 stop`, `skip STEP`, `filter RIG on|off`, `clock ok`, `stop`. The command's
/// own words are the same in one fixed spelling and parse to the same command.
[[nodiscard]] Result<Command> parse_command(std::string_view words, const CommandNames& names);

}  // namespace noonfall::run
