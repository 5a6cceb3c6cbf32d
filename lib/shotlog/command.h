// What an operator asks of a run: from the words typed, and back to words.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "lib/base/result.h"

namespace noonfall::shotlog {

/// Of a camera's filter, as far as is known.
enum class FilterState { on, off, unknown };
[[nodiscard]] std::string_view to_text(FilterState state);

struct Hold {  // no further frame on this rig until resumed
  std::string rig;
  bool operator==(const Hold&) const = default;
};
struct Resume {
  std::string rig;
  bool operator==(const Resume&) const = default;
};
struct Trim {  // every later frame of this rig is exposed by so many stops more
  std::string rig;
  double stops = 0;
  bool operator==(const Trim&) const = default;
};
struct SkipStep {  // on every rig
  std::string step;
  bool operator==(const SkipStep&) const = default;
};
struct SetFilter {  // as a person saw it
  std::string rig;
  FilterState state = FilterState::unknown;
  bool operator==(const SetFilter&) const = default;
};
struct ClockOk {  // the operator vouches for the clock
  bool operator==(const ClockOk&) const = default;
};
struct Stop {  // no further frame on any rig; the run ends when the rigs have let go
  bool operator==(const Stop&) const = default;
};
using Command = std::variant<Hold, Resume, Trim, SkipStep, SetFilter, ClockOk, Stop>;

/// What each begins with.
inline constexpr std::array<std::string_view, std::variant_size_v<Command>> verbs{
    "hold", "resume", "trim", "skip", "filter", "clock", "stop"};

/// None for a command of no one rig.
[[nodiscard]] const std::string* rig_of(const Command& command);

/// One fixed way to say it: "trim long +1/3 stop".
[[nodiscard]] std::string to_text(const Command& command);

/// What a command may speak of.
struct CommandNames {
  std::vector<std::string> rigs;
  std::vector<std::string> steps;
};

/// `hold RIG`, `resume RIG`, `trim RIG -1 stop`, `skip STEP`, `filter RIG on|off`, `clock ok` and `stop`.
/// Names stand as they are, without quotes, whatever spaces they hold. A trim is a number of whole, half or
/// third stops from -6 to 6 ("+0.5 stops", "-2/3 stop"; no sign is plus). Errors have their column on line 1.
/// What is understood, to_text says so that it is understood the same.
[[nodiscard]] Result<Command> parse_command(std::string_view words, const CommandNames& names);

/// The same for words that were understood once, as logs of version 1 have them: any name is taken.
[[nodiscard]] std::optional<Command> parse_logged_command(std::string_view words);

/// All of them, a line each with what it does, for a person who asks for help.
[[nodiscard]] std::string_view command_list();

}  // namespace noonfall::shotlog
