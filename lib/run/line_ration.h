// How many lines of one kind may come into the log, whatever happens; the rest is counted.
#pragma once

#include <cstdint>
#include <optional>

#include "lib/time/utc.h"

namespace noonfall::run {

/// A value without a clock. A span begins with the first line after the one before is over.
class LineRation {
 public:
  LineRation(std::int64_t most, Duration span) : most_{most}, span_{span} {}

  /// Whether one more may be written; if not, it counts as left out.
  [[nodiscard]] bool admit(Utc now);
  /// How many the span that is over left out, told once; 0 before its end.
  [[nodiscard]] std::int64_t take_left_out(Utc now);
  /// When something left out can be told.
  [[nodiscard]] std::optional<Utc> due() const;

 private:
  std::int64_t most_;
  Duration span_;
  std::optional<Utc> begun_;
  std::int64_t admitted_ = 0;
  std::int64_t left_out_ = 0;
};

}  // namespace noonfall::run
