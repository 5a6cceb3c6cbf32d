#include "lib/collate/reading_order.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "lib/base/number.h"

namespace noonfall::collate {
namespace {

constexpr std::size_t telling = 10;  // of so many a habit shows

/// The four digits that a camera's names end with (DCF, CIPA DC-009).
std::optional<int> number_of(std::string_view name) {
  constexpr std::size_t digits = 4;
  const auto stem = name.substr(0, name.rfind('.'));
  if (stem.size() < digits) return {};
  const auto number = parse_integer("1" + std::string{stem.substr(stem.size() - digits)});
  return number ? std::optional{static_cast<int>(*number - 10'000)} : std::nullopt;
}

}  // namespace

void sort_by_clock_and_name(std::vector<Reading>& readings, const std::vector<Photo>& photos) {
  constexpr int wraps = 5000;
  std::sort(readings.begin(), readings.end(), [&](const Reading& a, const Reading& b) {
    return std::pair{a.clock, photos[a.photo].name()} < std::pair{b.clock, photos[b.photo].name()};
  });
  for (auto first = readings.begin(); first != readings.end();) {
    const auto clock = first->clock;
    const auto next =
        std::find_if(first, readings.end(), [&](const Reading& each) { return each.clock != clock; });
    const auto gap = std::adjacent_find(first, next, [&](const Reading& a, const Reading& b) {
      return number_of(photos[b.photo].name()).value_or(0) -
                 number_of(photos[a.photo].name()).value_or(wraps) >
             wraps;
    });
    if (gap != next) std::rotate(first, gap + 1, next);
    first = next;
  }
}

bool in_order(const std::vector<Reading>& readings, const std::vector<Photo>& photos) {
  std::size_t rising = 0;
  std::size_t looked_at = 0;
  for (std::size_t n = 1; n < readings.size(); ++n) {
    if (readings[n].clock == readings[n - 1].clock) continue;
    ++looked_at;
    if (photos[readings[n - 1].photo].name() < photos[readings[n].photo].name()) ++rising;
  }
  return looked_at >= telling && rising * 10 >= looked_at * 9;
}

bool fraction_never_changes(const std::vector<Reading>& readings) {
  const auto fraction = [](const Reading& each) { return each.clock - std::floor(each.clock); };
  return readings.size() >= telling &&
         std::all_of(readings.begin(), readings.end(), [&](const Reading& each) {
           return each.grain < 1 && std::abs(fraction(each) - fraction(readings.front())) < 1e-6;
         });
}

}  // namespace noonfall::collate
