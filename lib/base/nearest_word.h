// "Did you mean": the valid word nearest to one that isn't.
#pragma once

#include <span>
#include <string>
#include <string_view>

namespace noonfall {

/// The candidate with the fewest single-letter edits to `word`, or empty when none is near enough to be a
/// slip (more than a third of the longer word, at least 2). Ties go to the earlier candidate.
[[nodiscard]] std::string nearest_word(std::string_view word, std::span<const std::string_view> candidates);

}  // namespace noonfall
