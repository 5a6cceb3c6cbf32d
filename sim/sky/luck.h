// Chance by a seed alone: the same seed gives the same numbers, everywhere.
#pragma once

#include <cmath>
#include <cstdint>
#include <vector>

namespace noonfall::sim {

/// SplitMix64 (Steele, Lea & Flood 2014).
class Luck {
 public:
  explicit Luck(std::uint64_t seed) : state_{seed} {}
  std::uint64_t next() {
    auto z = (state_ += 0x9E3779B97F4A7C15U);
    z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
    return z ^ (z >> 31U);
  }
  /// From 0 to below 1.
  double share() { return static_cast<double>(next() >> 11U) * 0x1p-53; }

 private:
  std::uint64_t state_;
};

/// Numbers of the normal distribution, to be picked from at random: quicker than making each.
class NormalNumbers {
 public:
  NormalNumbers() : numbers_(1U << 16U) {
    Luck luck{20};
    for (std::size_t n = 0; n < numbers_.size(); n += 2) {  // Box & Muller 1958
      const double length = std::sqrt(-2 * std::log(1 - luck.share()));
      const double turn = 6.283185307179586 * luck.share();
      numbers_[n] = static_cast<float>(length * std::cos(turn));
      numbers_[n + 1] = static_cast<float>(length * std::sin(turn));
    }
  }
  [[nodiscard]] float operator[](std::uint16_t n) const { return numbers_[n]; }

 private:
  std::vector<float> numbers_;
};

}  // namespace noonfall::sim
