#include "lib/base/nearest_word.h"

#include <algorithm>
#include <numeric>
#include <vector>

namespace noonfall {
namespace {

std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 0; i < a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i + 1;
    for (std::size_t j = 0; j < b.size(); ++j) {
      const auto substituted = diagonal + (a[i] == b[j] ? 0 : 1);
      diagonal = row[j + 1];
      row[j + 1] = std::min({substituted, row[j] + 1, row[j + 1] + 1});
    }
  }
  return row.back();
}

}  // namespace

std::string nearest_word(std::string_view word, std::span<const std::string_view> candidates) {
  constexpr std::size_t longest_compared = 64;
  std::string_view best;
  std::size_t best_distance = 0;
  if (word.size() > longest_compared) return {};
  for (const auto candidate : candidates) {
    const auto limit = std::max<std::size_t>(2, std::max(word.size(), candidate.size()) / 3);
    const auto distance = edit_distance(word, candidate);
    if (distance <= limit && distance < candidate.size() && (best.empty() || distance < best_distance)) {
      best = candidate;
      best_distance = distance;
    }
  }
  return std::string{best};
}

}  // namespace noonfall
