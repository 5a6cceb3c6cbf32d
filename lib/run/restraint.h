// How soon an order of a back-to-back step may follow the one before, whatever the body answers.
#pragma once

#include <algorithm>

#include "lib/time/utc.h"

namespace noonfall::run {

/// A body that refuses is asked again after pauses that grow, and in the end not any more; one that claims to
/// take frames faster than any could isn't believed.
class Restraint {
 public:
  [[nodiscard]] Utc not_before() const { return not_before_; }
  /// So many orders in a row came to nothing.
  [[nodiscard]] int refused() const { return refused_; }
  [[nodiscard]] bool hopeless() const { return refused_ >= most_refusals; }

  /// An order came to nothing.
  void refused_at(Utc when) {
    ++refused_;
    put_off_at(when);
  }
  /// An order never came to be in progress.
  void put_off_at(Utc when) {
    not_before_ = std::max(not_before_, when + first_pause * (1 << std::min(pauses_++, most_doublings)));
  }
  /// Frames that take so long by the profile were taken by an order issued then.
  void took(Utc issued, Duration predicted) {
    refused_ = 0;
    pauses_ = 0;
    not_before_ = std::max(not_before_, issued + predicted / believed_speed);
  }
  /// Another step: the pauses stay as long, hope is new.
  void left_step() { refused_ = 0; }

 private:
  static constexpr Duration first_pause = std::chrono::milliseconds{250};
  static constexpr int most_doublings = 5;  // eight seconds
  static constexpr int most_refusals = 8;   // within some 24 s
  static constexpr int believed_speed = 4;  // times the profile's

  int refused_ = 0;
  int pauses_ = 0;
  Utc not_before_ = Utc::min();
};

}  // namespace noonfall::run
