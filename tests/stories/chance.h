// What a story is drawn with: the same draws on every machine for the same seed.
#pragma once

#include <cstdint>
#include <random>
#include <vector>

#include "lib/time/utc.h"

namespace noonfall::stories {

class Chance {
 public:
  explicit Chance(std::uint64_t seed) : engine_{seed} {}

  /// From 0 to `many` - 1. The engine is the standard's; its distributions differ between libraries.
  [[nodiscard]] std::int64_t below(std::int64_t many) {
    return static_cast<std::int64_t>(engine_() % static_cast<std::uint64_t>(many));
  }
  [[nodiscard]] bool percent(int of) { return below(100) < of; }
  [[nodiscard]] Duration between(Duration least, Duration most) {
    return least + Duration{below((most - least).count() + 1)};
  }
  template <class T>
  [[nodiscard]] const T& one_of(const std::vector<T>& values) {
    return values[static_cast<std::size_t>(below(static_cast<std::int64_t>(values.size())))];
  }

 private:
  std::mt19937_64 engine_;
};

}  // namespace noonfall::stories
