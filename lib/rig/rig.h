// What a worker does with its orders: send settings, wait, release, confirm, go on. A pure state machine that
// the rehearsal and the real worker both run.
//
// clang-format off
//
//            an order             prepare_from             settings sent           earliest
//   empty ─────────────▶ waiting ──────────────▶ preparing ─────────────▶ settled ──────────▶ releasing
//     ▲                                              ▲                                            │
//     │ no frame left                                │ the next frame                 an answer   │
//     └──────────────────────────────────────────────┴────────────────────────────────────────────┘
//
//   any ── the body is gone ──▶ away ── reopened ──▶ back to where it was, settings sent again
//
// clang-format on
#pragma once

#include <cstdint>
#include <deque>
#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "lib/body/profile.h"
#include "lib/order/order.h"
#include "lib/rig/device.h"
#include "lib/rig/lag.h"

namespace noonfall::rig {

using Input = std::variant<order::ToRig, DeviceAnswer, Gone>;

/// What to do now: make the call (at once, no other is pending), pass the reports on, come back at `wake`.
struct Output {
  std::optional<DeviceCall> call;
  std::vector<order::Report> reports;
  std::optional<Utc> wake;  // none: only an input can change anything
};

/// One rig. Holds at most `order::most_held` orders: one more is refused, each of its frames with the reason.
/// Extra steps without inputs change nothing; a late step only skips more.
class Rig {
 public:
  Rig(std::int32_t index, const body::Profile& profile);

  [[nodiscard]] Output step(Utc now, std::span<const Input> inputs);

  /// The lag bounds the release instants are corrected by.
  [[nodiscard]] const Lag& lag() const { return lag_; }
  [[nodiscard]] std::vector<order::HeldOrder> held() const;
  /// The body is there, as far as is known.
  [[nodiscard]] bool ready() const { return ready_; }
  [[nodiscard]] bool idle() const { return orders_.empty() && !calling_; }

 private:
  struct Held {
    order::Order order;
    std::size_t next = 0;  // the first frame without an outcome
    std::optional<Utc> started;
    std::optional<std::string> cancelled;  // why, when it is
    // Of the next frame:
    bool settled = false;     // its settings were dealt with, well or not
    bool one_by_one = false;  // the body took no bracket of its own
    std::string wrong;        // how they came out, if not as asked
    std::string busy_why;     // the body's last busy answer
    int busy_answers = 0;     // in a row
    Utc busy_since;           // the first of them
    bool busy_told = false;   // that they go on and on

    [[nodiscard]] bool frames_left() const { return next < order.frames.size(); }
    [[nodiscard]] const order::OrderedFrame& frame() const { return order.frames[next]; }
  };

  void take(Utc now, const order::ToRig& message);
  void take(Utc now, const order::Order& order);
  void cancel(Utc now, const order::Cancel& cancel);
  void take(Utc now, const DeviceAnswer& answer);
  void take(Utc now, const Gone& gone);
  void settings_answered(const DeviceAnswer& answer, const SettingsCall& call);
  void release_answered(const DeviceAnswer& answer, const ReleaseCall& call);
  void frames_taken(const DeviceAnswer& answer);
  void reopen_answered(const DeviceAnswer& answer);
  void body_gone(Utc at, const std::string& why);
  void try_again_later(const DeviceAnswer& answer);
  void pause_after(Utc at);

  void forget_settings();
  void advance(Utc now);
  void advance_away(Utc now);
  bool start_or_wait(Utc now, Held& held);
  void prepare_or_release(Utc now, Held& held);
  void finish_orders(Utc now);
  void close_behind(Utc now);
  void skip_hopeless(Utc now, Held& held);
  [[nodiscard]] Utc wanted_after(std::size_t taken) const;
  [[nodiscard]] static SettingsCall wanted(const Held& held);
  [[nodiscard]] bool as_wanted(const Held& held) const;
  [[nodiscard]] Duration settings_time(const Held& held) const;
  [[nodiscard]] Duration shown_open_time() const;
  [[nodiscard]] Utc opens_by(const Held& held) const;

  [[nodiscard]] order::FrameDone frame_done(const Held& held, order::Outcome outcome, Utc at,
                                            std::string why) const;
  void close_frame(Utc now, Held& held, order::Outcome outcome, std::string why, Utc released = {});
  void close_rest(Utc now, Held& held, order::Outcome outcome, const std::string& why);
  void call(DeviceCall call);
  void wake_at(Utc when);

  std::int32_t index_;
  body::Profile profile_;
  Lag lag_;
  std::deque<Held> orders_;
  std::optional<DeviceCall> calling_;
  bool ready_ = true;
  bool drain_first_ = false;                    // an answer went missing: read events before the next call
  std::optional<exposure::Exposure> settings_;  // what the body was last known to be set to
  std::optional<body::Drive> drive_;
  std::vector<exposure::Shutter> bracket_;  // with the drive there
  std::optional<order::Recover> recover_;
  Utc not_before_ = Utc::min();  // after a busy answer, or when frames came to nothing
  int fruitless_ = 0;            // frames in a row that did
  Output output_;                // of the step in progress
};

}  // namespace noonfall::rig
