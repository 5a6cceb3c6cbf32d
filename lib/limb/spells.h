// The spans of time in which something is below zero.
#pragma once

#include <functional>
#include <vector>

namespace noonfall::limb {

/// Both in the unit of the function's argument.
struct Spell {
  double from;
  double until;
  bool operator==(const Spell&) const = default;
};

/// What to look through: `step` apart at first; between, a spell or a break is found when the function turns
/// within `near_zero` of zero.
struct Search {
  double from;
  double until;
  double step;
  double near_zero;
};

/// In order. A spell that reaches an end of the search ends there.
[[nodiscard]] std::vector<Spell> spells_below_zero(const std::function<double(double)>& value,
                                                   const Search& search);

}  // namespace noonfall::limb
