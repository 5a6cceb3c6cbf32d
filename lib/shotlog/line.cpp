#include "lib/shotlog/line.h"

#include <array>

namespace noonfall::shotlog {

std::string_view to_text(Mode mode) {
  constexpr std::array<std::string_view, 3> words{"event", "dress", "simulated"};
  return words[static_cast<std::size_t>(mode)];
}

char to_char(ClockGrade grade) {
  return "ABCF"[static_cast<std::size_t>(grade)];
}

std::string_view to_text(FilterState state) {
  constexpr std::array<std::string_view, 3> words{"on", "off", "unknown"};
  return words[static_cast<std::size_t>(state)];
}

std::string_view kind_of(const Entry& entry) {
  constexpr std::array<std::string_view, std::variant_size_v<Entry>> words{
      "header", "intent", "outcome", "skip",      "cue", "filter",
      "fault",  "clock",  "command", "amendment", "note"};
  return words[entry.index()];
}

}  // namespace noonfall::shotlog
