// Numbers and dates the lines that one step of the run writes.
#pragma once

#include <utility>
#include <vector>

#include "lib/shotlog/line.h"

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

}  // namespace noonfall::run
