// When a body takes its next release: learnt from its busy answers, so that it isn't asked all the time.
#pragma once

#include <algorithm>

#include "lib/time/utc.h"

namespace noonfall::gphoto {

/// A body is asked a little before it was ready last time, as a share of what its profile predicts beside the
/// exposure: one that was ready at once is asked earlier the next time, one that was busy when it has been
/// seen to be ready.
class Readiness {
 public:
  /// A body isn't asked for the next frame before.
  [[nodiscard]] Utc asks_from() const {
    return since_ + held_up_ + std::chrono::duration_cast<Duration>(predicted_ * share_);
  }
  void was_busy() { busy_ = true; }
  /// Of a body that doesn't say when it is busy, and takes nothing then: it is given all the time its profile
  /// says, until it is known how to tell whether it took a frame.
  void give_time() {
    share_ = floor_ = whole;
    may_ignore_ = true;
  }
  void is_told() { floor_ = least; }
  /// A release as early as this is known to be taken.
  [[nodiscard]] bool is_proven() const { return !may_ignore_ || share_ * as_good >= proven_; }
  /// It took nothing: asked a little later it did before, or does perhaps.
  void was_ignored() {
    const bool knows_better = proven_ < never && !is_proven();
    floor_ = std::min(std::max(knows_better ? proven_ : 0, share_ * later), most);
    share_ = knows_better || is_proven() ? floor_ : std::min(share_ * slower, most);
    proven_ = knows_better ? floor_ : never;
    predicted_ = held_up_ = {};
    since_ = Utc::min();
  }
  /// Of one that may ignore a release only where it is known that it didn't.
  void took(Utc released) {
    if (predicted_ <= Duration{}) return;
    const double real = in_seconds(released - since_) / in_seconds(predicted_);
    if (may_ignore_) return took_for_sure(real);
    // One that came later than it could have says nothing.
    if (real < 2) share_ = std::clamp(busy_ ? real : share_ * quicker, floor_, most);
    busy_ = false;
  }
  /// The last frame of a release opened with a lag as usual, for so long; the next is predicted to be taken
  /// so much later. Of a release that was held up on its way it isn't known when the body had it.
  void expect(Utc last_release, Duration open, Duration interval, Duration held_up = {}) {
    since_ = last_release + open;
    predicted_ = interval - open;
    held_up_ = held_up;
  }

 private:
  static constexpr double least = 0.5;
  static constexpr double most = 1.5;
  static constexpr double quicker = 0.98;
  static constexpr double quicker_untold = 0.95;  // each step is one more release that may be ignored
  static constexpr double slower = 1.15;
  static constexpr double later = 1.06;  // what took one by luck isn't enough for the next
  static constexpr double as_good = 1.02;
  static constexpr double whole = 1.03;  // as well as a profile is measured
  static constexpr double near = 1.1;
  static constexpr double never = 10;

  /// Where we come late every time, there is nothing to find out.
  void took_for_sure(double real) {
    proven_ = std::min(proven_, real);
    if (real < share_ * near) {
      late_ = 0;
      share_ = std::clamp(std::min(share_, real) * quicker_untold, floor_, most);
    } else if (!is_proven() && ++late_ > 1) {
      late_ = 0;
      share_ = floor_ = std::min(proven_, most);
    }
  }

  double share_ = 0.7;  // bodies are trusted to be no faster than that
  double floor_ = least;
  double proven_ = never;
  int late_ = 0;  // in a row
  bool may_ignore_ = false;
  Utc since_;
  Duration predicted_{};
  Duration held_up_{};
  bool busy_ = false;
};

}  // namespace noonfall::gphoto
