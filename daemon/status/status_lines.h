// How a run stands, in a few lines that can be read at 3 a.m.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "daemon/status/status_facts.h"

namespace noonfall::status {

inline constexpr std::size_t status_width = 80;

/// At most 12 lines of at most `status_width` columns, without colour. Up to four rigs have two lines each,
/// up to eight one; of more, the rest is counted. The last line is the alarm's.
[[nodiscard]] std::vector<std::string> lines(const StatusFacts& facts);

/// "in 2 h 03 min", "in 3 min 24 s", "in 12 s", rounded up; "now" for nothing left.
[[nodiscard]] std::string countdown(Duration left);

/// "ON", "OFF", "UNKNOWN".
[[nodiscard]] std::string_view filter_word(shotlog::FilterState state);

/// How a mode is shown to a person: "DRESS REHEARSAL: keep the camera filter on".
[[nodiscard]] std::string mode_words(shotlog::Mode mode, double speed);

/// "clock A, within 3 ms"; at grade F "clock F: not verified, operator decides".
[[nodiscard]] std::string clock_words(const shotlog::ClockState& clock);

}  // namespace noonfall::status
