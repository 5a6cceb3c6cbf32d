// The words that the live view and the page have for facts.
#pragma once

#include <string>
#include <string_view>

#include "daemon/status/facts.h"

namespace noonfall::status {

/// "in 2 h 03 min", "in 3 min 24 s", "in 12 s", rounded up; "now" for nothing left.
[[nodiscard]] std::string countdown(Duration left);

/// As a clock shows it: the second that has begun.
[[nodiscard]] std::string clock_text(Utc instant);

/// "ON", "OFF", "UNKNOWN".
[[nodiscard]] std::string_view filter_word(shotlog::FilterState state);
/// "filter ON, assumed", "no filter".
[[nodiscard]] std::string filter_words(const RigStatus& rig);

/// "ready", "HELD".
[[nodiscard]] std::string_view body_word(BodyState state);

/// What a person at the rig most needs to know: "HANDS ON: aim", "in 12 s: corona".
[[nodiscard]] std::string doing_words(const RigStatus& rig, Utc now);

/// "34/210 fired, 2 not".
[[nodiscard]] std::string count_words(const RigStatus& rig);

/// "+0.33", in stops; empty for none.
[[nodiscard]] std::string trim_words(double stops);

/// "12 ms late", "3 ms early".
[[nodiscard]] std::string late_words(Duration late);

/// How a mode is shown to a person: "DRESS REHEARSAL: keep the camera filter on".
[[nodiscard]] std::string mode_words(shotlog::Mode mode, double speed);

/// "clock A, within 3 ms"; at grade F "clock F: not verified, operator decides".
[[nodiscard]] std::string clock_words(const shotlog::ClockState& clock);
/// What to do about it; empty at grade A.
[[nodiscard]] std::string_view clock_remedy(shotlog::ClockGrade grade);

}  // namespace noonfall::status
