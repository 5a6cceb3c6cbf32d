// TT − UTC before leap seconds, when UTC followed the Earth by small steps and a rate of its own.
#pragma once

#include <optional>

#include "lib/time/utc_text.h"

namespace noonfall::contacts {

/// At noon of the day, from 1960 to 1971; empty for other years. That UTC kept to the Earth's turning within
/// 0.2 s, so it serves for Delta T as well.
[[nodiscard]] std::optional<Duration> early_tt_minus_utc(Date date);

}  // namespace noonfall::contacts
