// What is tried to bring a lost body back, and when the next thing is.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>

#include "lib/order/order.h"
#include "lib/time/utc.h"

namespace noonfall::run {

/// Step by step while the body is away, and then from the first again.
class RecoveryLadder {
 public:
  struct Attempt {
    order::Recover recover;
    const char* words;  // for the log and the person; none for the first
    Duration takes;     // before it can have helped (common practice, no source)
    bool asks;          // a person is asked for too
  };

  /// `power`: the body's supply can be switched; `spare`: another body may take its place.
  explicit RecoveryLadder(bool power, bool spare = false)
      : steps_{power ? ladder.size() : ladder.size() - 1}, spare_{spare} {}

  /// One that goes again soon after it was brought back is left for longer each time. A new worker is ready
  /// before it has looked for its body: what it finds goes on with the ladder.
  void body_is(bool ready, Utc now, bool is_spare = false) {
    on_spare_ = on_spare_ || is_spare;
    const bool only_its_worker_came = worker_is_new_ && now < until_;
    if (!ready && !away_ && !only_its_worker_came) {
      short_stays_ = now < until_ ? std::min(short_stays_ + 1, most_short_stays) : 0;
      attempts_ = 0;
      worker_is_new_ = false;
      // A worker that comes after has to find the spare again.
      worker_was_new_ = on_spare_;
      until_ = short_stays_ > 1 ? now + std::chrono::seconds{1 << (short_stays_ - 2)} : now;
    }
    away_ = !ready;
  }
  [[nodiscard]] bool away() const { return away_; }
  /// While the body is away.
  [[nodiscard]] Utc next_attempt() const { return until_; }
  /// What is due now, if anything. What can't pay off by `wanted_until` gives way to the first step. The
  /// spare's turn comes behind that of a new worker.
  [[nodiscard]] std::optional<Attempt> advance(Utc now, Utc wanted_until) {
    if (!away_ || now < until_) return std::nullopt;
    auto step = attempts_ % steps_;
    if (ladder[step].takes > wanted_until - now) step = attempts_ = 0;
    ++attempts_;
    auto attempt = ladder[step];
    worker_was_new_ = worker_was_new_ || worker_is_new_;
    attempt.recover.spare = spare_ && worker_was_new_ && wanted_until - now >= spare_takes;
    if (attempt.recover.spare && attempts_ > 1 && step == 0)
      attempt.words = "still away: its spare may take its place";
    worker_is_new_ = attempt.recover.remedy == order::Remedy::restart_worker;
    attempt.asks = step + 1 == steps_;
    until_ = attempt.recover.until = now + std::chrono::seconds{30};
    return attempt;
  }

 private:
  static constexpr std::array ladder{
      Attempt{.recover = {order::Remedy::reopen, {}}, .words = nullptr, .takes = {}, .asks = false},
      Attempt{.recover = {order::Remedy::reset_port, {}},
              .words = "still away: its port is reset",
              .takes = std::chrono::seconds{5},
              .asks = false},
      Attempt{.recover = {order::Remedy::restart_worker, {}},
              .words = "still away: its worker is started anew; look at cable and battery, switch the camera "
                       "off and on",
              .takes = std::chrono::seconds{10},
              .asks = false},
      Attempt{.recover = {order::Remedy::cycle_power, {}},
              .words = "still away: its power is switched off and on",
              .takes = std::chrono::seconds{20},
              .asks = false},
  };

  static constexpr Duration spare_takes = std::chrono::seconds{10};
  static constexpr int most_short_stays = 6;  // 16 s

  std::size_t steps_;
  bool spare_;
  bool away_ = false;
  bool worker_is_new_ = false;   // the last attempt
  bool worker_was_new_ = false;  // one since the body went
  bool on_spare_ = false;        // has been
  int short_stays_ = 0;
  Utc until_ = Utc::min();
  std::size_t attempts_ = 0;  // since the body went
};

}  // namespace noonfall::run
