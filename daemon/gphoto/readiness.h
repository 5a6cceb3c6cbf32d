// When a body takes its next release: learnt from its busy answers, so that it isn't asked all the time.
#pragma once

#include <algorithm>

#include "lib/time/utc.h"

namespace noonfall::gphoto {

/// A body is asked a little before it was ready last time, as a share of what its profile predicts: one that
/// was ready at once is asked earlier the next time, one that was busy when it has been seen to be ready.
class Readiness {
 public:
  /// A body isn't asked for the next frame before.
  [[nodiscard]] Utc asks_from() const {
    return since_ + std::chrono::duration_cast<Duration>(predicted_ * share_);
  }
  void was_busy() { busy_ = true; }
  /// Of a body that doesn't say when it is busy, and takes nothing then: it is given all the time its profile
  /// says, until it is known how to tell whether it took a frame.
  void give_time() {
    share_ = floor_ = whole;
    may_ignore_ = true;
  }
  /// A release as early as this is known to be taken.
  [[nodiscard]] bool is_proven() const { return !may_ignore_ || share_ >= proven_; }
  void is_told() { floor_ = least; }
  /// It took nothing: where it did a little later the time before, that is how early it may be asked.
  void was_ignored() {
    floor_ = std::min(share_ / step(), most);
    share_ = was_ready_ ? floor_ : std::min(share_ * slower, most);
    proven_ = was_ready_ ? floor_ : never;
    was_ready_ = false;
    predicted_ = {};
    since_ = Utc::min();
  }
  void took(Utc released) {
    const auto real = released - since_;
    // One that came later than it could have says nothing.
    const bool says = predicted_ > Duration{} && real < predicted_ * (may_ignore_ ? share_ * late : 2);
    if (says) {
      proven_ = std::min(proven_, share_);
      share_ = std::clamp(busy_ ? in_seconds(real) / in_seconds(predicted_) : share_ * step(), floor_, most);
    }
    was_ready_ = says || !may_ignore_;
    busy_ = false;
  }
  /// The last frame of a release opened with a lag as usual; the next is predicted to be taken so much later.
  void expect(Utc last_release, Duration interval) {
    since_ = last_release;
    predicted_ = interval;
  }

 private:
  static constexpr double least = 0.5;
  static constexpr double most = 1.5;
  static constexpr double quicker = 0.98;
  static constexpr double quicker_untold = 0.95;  // each step is one more release that may be ignored
  static constexpr double never = 10;

  [[nodiscard]] double step() const { return may_ignore_ ? quicker_untold : quicker; }

  static constexpr double slower = 1.15;
  static constexpr double whole = 1.03;  // as well as a profile is measured
  static constexpr double late = 1.1;

  double share_ = 0.7;  // bodies are trusted to be no faster than that
  double floor_ = least;
  bool was_ready_ = false;
  bool may_ignore_ = false;
  double proven_ = never;
  Utc since_;
  Duration predicted_{};
  bool busy_ = false;
};

}  // namespace noonfall::gphoto
