#include "lib/order/order.h"

namespace noonfall::order {

std::string_view to_text(Outcome outcome) {
  switch (outcome) {
    case Outcome::fired:
      return "fired";
    case Outcome::failed:
      return "failed";
    case Outcome::unknown:
      return "unknown";
    case Outcome::skipped:
      return "skipped";
    case Outcome::cancelled:
      return "cancelled";
  }
  return "unknown";
}

}  // namespace noonfall::order
