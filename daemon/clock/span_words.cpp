#include "daemon/clock/span_words.h"

#include <fmt/format.h>

#include "lib/time/duration_text.h"

namespace noonfall::clock {

std::string span_words(Duration span) {
  using namespace std::chrono_literals;
  const Duration size = std::chrono::abs(span);
  if (size < 50us) return "under 0.1 ms";
  if (size < 9950us) return fmt::format("{:.1f} ms", in_milliseconds(size));
  if (size < 999500us) return fmt::format("{:.0f} ms", in_milliseconds(size));
  if (size < 1min) return fmt::format("{:.3f} s", in_seconds(size));
  if (size >= 48h) return fmt::format("{} days", std::chrono::round<std::chrono::days>(size).count());
  return to_text(Duration{std::chrono::round<std::chrono::seconds>(size)});
}

std::string shift_words(Duration shift) {
  return span_words(shift) + (shift.count() < 0 ? " back" : " forward");
}

}  // namespace noonfall::clock
