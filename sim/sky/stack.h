// Frames of one view put together: the plain mean of those of one exposure, and all exposures as one picture
// of the light itself. A demonstration of what a plan's ladder gives.
#pragma once

#include <vector>

#include "sim/sky/exposed.h"

namespace noonfall::sim {

class Stack {
 public:
  Stack(const Imager& imager, const exposure::Exposure& exposure);
  void add(const Exposed& frame);

  /// Of what a full pixel holds, three a pixel.
  [[nodiscard]] std::vector<float> mean() const;
  [[nodiscard]] int frames() const { return frames_; }

 private:
  friend class Joined;
  exposure::Exposure exposure_;
  double full_;  // electrons
  int frames_ = 0;
  std::vector<float> sum_;     // of counts over black
  std::vector<bool> clipped_;  // in any frame
};

/// Each pixel from the exposures in which it wasn't full, weighted by the electrons behind it.
class Joined {
 public:
  void add(const Stack& stack);
  /// In units of the mean disc, three a pixel; where every exposure was full, what the darkest was full at.
  [[nodiscard]] std::vector<float> light() const;

 private:
  std::vector<float> electrons_;
  std::vector<float> per_light_;  // electrons that a light of one mean disc would have given
  std::vector<float> full_at_;
};

}  // namespace noonfall::sim
