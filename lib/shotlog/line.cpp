#include "lib/shotlog/line.h"

#include <array>

namespace noonfall::shotlog {

std::string_view to_text(Mode mode) {
  constexpr std::array<std::string_view, 3> words{"event", "dress", "simulated"};
  return words[static_cast<std::size_t>(mode)];
}

std::string_view to_text(ClockGrade grade) {
  return std::string_view{"ABCF"}.substr(static_cast<std::size_t>(grade), 1);
}

std::string_view to_text(FilterState state) {
  constexpr std::array<std::string_view, 3> words{"on", "off", "unknown"};
  return words[static_cast<std::size_t>(state)];
}

}  // namespace noonfall::shotlog
