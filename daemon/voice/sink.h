// Where sound goes: a sound output, or in a test a file of samples with their instants.
#pragma once

#include <cstdint>
#include <span>

#include "lib/base/result.h"
#include "lib/time/boot_clock.h"
#include "lib/time/utc.h"

namespace noonfall::voice {

class Sink {
 public:
  virtual ~Sink() = default;

  /// Ready for samples at this rate, with nothing to be heard.
  [[nodiscard]] virtual Result<void> start(int rate) = 0;
  /// When a sample written now would be heard.
  [[nodiscard]] virtual BootTime next_heard() = 0;
  /// Waits until there is room. False: the output is gone.
  [[nodiscard]] virtual bool write(std::span<const std::int16_t> samples) = 0;
  /// Waits until all is heard. False: it wasn't.
  [[nodiscard]] virtual bool finish() = 0;
  /// What isn't heard yet won't be.
  virtual void stop() = 0;
};

}  // namespace noonfall::voice
