// ISO 8601 text of UTC instants and dates, in and out.
#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <string_view>

#include "lib/time/utc.h"

namespace noonfall {

using Date = std::chrono::year_month_day;

/// "2027-08-02T08:51:12.345Z": always milliseconds, rounded half up, always "Z".
[[nodiscard]] std::string to_text(Utc instant);
/// "2027-08-02T08:51:12.345678Z", the exact value.
[[nodiscard]] std::string to_text_us(Utc instant);
/// "08:51:12.3": time of day, rounded to `decimals` (0 to 6) places, truncating nothing.
[[nodiscard]] std::string to_clock_text(Utc instant, int decimals = 1);
/// "2027-08-02 08:51", the seconds dropped.
[[nodiscard]] std::string to_minutes(Utc instant);
/// "2027-08-02".
[[nodiscard]] std::string to_text(Date date);

/// Reads "YYYY-MM-DDThh:mm:ss[.f…]Z" (up to 6 decimals; a space may stand for the T). Refuses impossible
/// dates, hour 24, second 60, a missing Z, years outside 1900–2199. Empty when refused.
[[nodiscard]] std::optional<Utc> parse_utc(std::string_view text);
/// Reads "YYYY-MM-DD".
[[nodiscard]] std::optional<Date> parse_date(std::string_view text);

}  // namespace noonfall
