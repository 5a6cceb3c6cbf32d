// How the lines of a step get into the log: numbered and dated, and of one kind not more than so many.
#pragma once

#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

#include "lib/shotlog/line.h"
#include "lib/time/utc.h"

namespace noonfall::run {

class LogWriter {
 public:
  void go_on_after(std::int64_t seq) { seq_ = seq; }
  void begin(Utc now) { now_ = now; }
  void set_clock(shotlog::ClockState clock) { clock_ = clock; }
  [[nodiscard]] shotlog::ClockState clock() const { return clock_; }
  void write(shotlog::Entry entry) { lines_.push_back({++seq_, now_, clock_, std::move(entry)}); }
  [[nodiscard]] std::vector<shotlog::Line> take_lines() { return std::exchange(lines_, {}); }

 private:
  std::int64_t seq_ = 0;
  Utc now_;
  shotlog::ClockState clock_;
  std::vector<shotlog::Line> lines_;
};

/// How many lines of one kind may come into the log, whatever happens; the rest is counted.
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
