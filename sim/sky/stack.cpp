#include "sim/sky/stack.h"

#include <algorithm>

namespace noonfall::sim {
namespace {

constexpr float range = Exposed::white - Exposed::black;
constexpr int nearly_full =
    Exposed::black + static_cast<int>(0.95F * range);  // short of it the mean isn't bent yet

}  // namespace

Stack::Stack(const Imager& imager, const exposure::Exposure& exposure)
    : exposure_{exposure}, full_{electrons_when_full(imager, exposure.iso)} {}

void Stack::add(const Exposed& frame) {
  sum_.resize(frame.counts.size());
  clipped_.resize(frame.counts.size());
  for (std::size_t n = 0; n < sum_.size(); ++n) {
    sum_[n] += static_cast<float>(frame.counts[n] - Exposed::black);
    if (frame.counts[n] > nearly_full) clipped_[n] = true;
  }
  ++frames_;
}

std::vector<float> Stack::mean() const {
  auto out = sum_;
  for (auto& each : out) each /= range * static_cast<float>(frames_);
  return out;
}

void Joined::add(const Stack& stack) {
  const auto size = stack.sum_.size();
  electrons_.resize(size);
  per_light_.resize(size);
  full_at_.resize(size);
  const auto share = static_cast<float>(share_of_full(stack.exposure_));
  const auto full = static_cast<float>(stack.full_);
  for (std::size_t n = 0; n < size; ++n) {
    full_at_[n] = std::max(full_at_[n], 1 / share);
    if (stack.clipped_[n]) continue;
    electrons_[n] += stack.sum_[n] / range * full;
    per_light_[n] += share * full * static_cast<float>(stack.frames_);
  }
}

std::vector<float> Joined::light() const {
  std::vector<float> out(electrons_.size());
  for (std::size_t n = 0; n < out.size(); ++n)
    out[n] = per_light_[n] > 0 ? electrons_[n] / per_light_[n] : full_at_[n];
  return out;
}

}  // namespace noonfall::sim
