// What can be made to go wrong with a simulated body, and when.
#pragma once

#include <optional>
#include <variant>

#include "lib/time/utc.h"
#include "sim/body/settings.h"

namespace noonfall::sim {

/// Every release is answered busy; nothing is taken.
struct BusyReleases {
  bool operator==(const BusyReleases&) const = default;
};

/// A change is refused and the old value stays: any change of one setting, or a change to one value.
struct RefusedSetting {
  std::variant<Setting, SettingValue> what;
  bool operator==(const RefusedSetting&) const = default;
};

/// The picture is on the card and the host doesn't learn of it.
struct LostFrame {
  enum class Sign {
    unconfirmed,  // the release is answered, no picture is announced
    no_word,      // the release isn't answered
  };
  Sign sign = Sign::unconfirmed;
  bool operator==(const LostFrame&) const = default;
};

/// The body is off the line, and when it is back it has to be reopened.
struct BodyGone {
  bool operator==(const BodyGone&) const = default;
};

/// The card is written at this fraction of the profile's rate, 0 < rate <= 1.
struct SlowCard {
  double rate = 1;
  bool operator==(const SlowCard&) const = default;
};

using Effect = std::variant<BusyReleases, RefusedSetting, LostFrame, BodyGone, SlowCard>;

/// An effect in force within from <= instant < until, and at most `count` times where it comes by the call
/// (busy, refused) or by the frame (lost).
struct Fault {
  Utc from;
  Utc until = Utc::max();
  std::optional<int> count;
  Effect effect;
  bool operator==(const Fault&) const = default;
};

}  // namespace noonfall::sim
