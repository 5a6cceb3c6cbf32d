// Time across a picture, with totality stretched: a minute before C2 to a minute after C3 gets most of the
// width.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "lib/time/zone.h"
#include "lib/timeline/timeline.h"

namespace noonfall::cli {

class StretchedAxis {
 public:
  /// Everything of the timeline lies between `left` and `right`. Without totality or a ring nothing is
  /// stretched.
  StretchedAxis(const timeline::Timeline& timeline, double left, double right);

  [[nodiscard]] double x(Utc at) const;
  [[nodiscard]] Utc instant(double x) const;  // the reverse
  [[nodiscard]] double left() const { return knots_.front().second; }
  [[nodiscard]] double right() const { return knots_.back().second; }

  /// A stretch of one scale.
  struct Piece {
    Utc from, until;
    double left, right;
  };
  [[nodiscard]] std::vector<Piece> pieces() const;

  struct Tick {
    Utc at;
    std::string label;  // "10:45", and ":30" between whole minutes
    bool whole_minute = true;
  };
  /// Far enough apart for their labels, on round times of the clock.
  [[nodiscard]] std::vector<Tick> ticks(const LocalClock& local) const;

 private:
  std::vector<std::pair<Utc, double>> knots_;  // by time, at least two
};

/// Local time of day to whole seconds, or UTC where there is no local clock: "10:45:09".
[[nodiscard]] std::string clock_text(Utc at, const LocalClock& local);

}  // namespace noonfall::cli
