#include "sim/body/release_luck.h"

#include <algorithm>
#include <cmath>

namespace noonfall::sim {
namespace {

// The finalizer of SplitMix64 (Steele, Lea and Flood 2014, doi:10.1145/2660193.2660195).
std::uint64_t mixed(std::uint64_t x) {
  x += 0x9e3779b97f4a7c15;
  x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9;
  x = (x ^ (x >> 27)) * 0x94d049bb133111eb;
  return x ^ (x >> 31);
}

std::uint64_t folded(std::uint64_t hash, std::int32_t field) {
  return mixed(hash ^ static_cast<std::uint32_t>(field));
}

/// The upper 53 bits as a number in [0, 1).
double unit(std::uint64_t bits) {
  return static_cast<double>(bits >> 11) * 0x1p-53;
}

}  // namespace

Duration lag_of(const body::ReleaseLag& release, std::uint64_t seed, const order::FrameId& id) {
  const auto hash = folded(folded(folded(folded(mixed(seed), id.rig), id.step), id.set), id.frame);
  const double triangular = unit(mixed(hash)) + unit(mixed(hash + 1)) - 1;  // -1 to 1
  const auto jitter = static_cast<double>(release.jitter.count()) * triangular;
  return std::max(release.typical + Duration{std::llround(jitter)}, Duration::zero());
}

}  // namespace noonfall::sim
