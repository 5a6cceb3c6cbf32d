// Words made into sound ahead of their time: by espeak-ng, a program of its own, into files that stay.
#pragma once

#include <string>

#include "daemon/voice/sound.h"
#include "lib/plan/plan.h"

namespace noonfall::voice {

class Renderer {
 public:
  /// `folder`: where the files go, made when it isn't there.
  Renderer(std::string folder, plan::Language language);

  /// From its file where it was rendered before. Waits for the program, 5 s at most.
  [[nodiscard]] Result<Sound> render(const std::string& words) const;

 private:
  std::string folder_;
  plan::Language language_;
};

}  // namespace noonfall::voice
