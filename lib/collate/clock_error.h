// How wrong a camera's clock was, found from the photographs and the shots alone: it may be hours off, in
// another zone, and drift.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "lib/collate/pairing.h"

namespace noonfall::collate {

struct ClockFit {
  ClockError error;
  std::vector<Pair> pairs;
};

/// The error with which the most readings fall on an opening of their light, whatever the others are of. Both
/// lists are by time; empty when nothing goes together.
[[nodiscard]] std::optional<ClockFit> find_clock_error(std::span<const Reading> readings,
                                                       std::span<const Opening> openings);

}  // namespace noonfall::collate
