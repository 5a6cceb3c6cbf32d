// How many lines of one kind may come into the log, whatever happens; the rest is counted.
#pragma once

#include <cstdint>
#include <optional>
#include <utility>

#include "lib/time/utc.h"

namespace noonfall::run {

/// A value without a clock. A span begins with the first line after the one before is over.
class LineRation {
 public:
  LineRation(std::int64_t most, Duration span) : most_{most}, span_{span} {}

  /// Whether one more may be written; if not, it counts as left out.
  [[nodiscard]] bool admit(Utc now) {
    if (!begun_ || now >= *begun_ + span_) {
      begun_ = now;
      admitted_ = 0;
    }
    auto& counted = admitted_ < most_ ? admitted_ : left_out_;
    ++counted;
    return &counted == &admitted_;
  }
  /// How many the span that is over left out, told once; 0 before its end.
  [[nodiscard]] std::int64_t take_left_out(Utc now) {
    const auto when = due();
    return when && now >= *when ? std::exchange(left_out_, 0) : 0;
  }
  /// When something left out can be told.
  [[nodiscard]] std::optional<Utc> due() const {
    return left_out_ == 0 ? std::nullopt : std::optional{*begun_ + span_};
  }

 private:
  std::int64_t most_;
  Duration span_;
  std::optional<Utc> begun_;
  std::int64_t admitted_ = 0;
  std::int64_t left_out_ = 0;
};

}  // namespace noonfall::run
