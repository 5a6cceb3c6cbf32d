#include "lib/order/order.h"

namespace noonfall::order {

std::string_view to_text(Remedy remedy) {
  constexpr std::string_view words[] = {"drain and retry", "reopen", "reset port", "restart worker",
                                        "cycle power"};
  return words[static_cast<std::size_t>(remedy)];
}

std::string_view to_text(Outcome outcome) {
  constexpr std::string_view words[] = {"fired", "failed", "unknown", "skipped", "cancelled"};
  return words[static_cast<std::size_t>(outcome)];
}

}  // namespace noonfall::order
