// The few blocking verbs a rig asks of its body, and the body's answers: the seam between decisions and
// devices.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "lib/body/profile.h"
#include "lib/exposure/exposure.h"
#include "lib/order/order.h"
#include "lib/time/utc.h"

namespace noonfall::rig {

/// Send what differs from the body's present settings and read everything back.
struct SettingsCall {
  exposure::Exposure exposure;
  body::Drive drive = body::Drive::single;
  /// Of the body's own bracket the times of its frames, as it takes them; `exposure` has the middle one.
  std::vector<exposure::Shutter> bracket = {};
  bool operator==(const SettingsCall&) const = default;
};
/// For a set that the body takes as its own bracket.
[[nodiscard]] SettingsCall bracket_call(const std::vector<exposure::Exposure>& set);

/// Take these frames with the present settings: one with single drive; with continuous drive one burst, in
/// which no shutter opens after `stop_by`; as a bracket all of them, the first by then. A body that can't
/// open at once (previous frame, full buffer) answers busy and takes nothing.
struct ReleaseCall {
  std::vector<order::FrameId> frames;
  Utc stop_by;
  Utc next = Utc::max();  // when the rig wants the body again; it is left alone until then
  bool operator==(const ReleaseCall&) const = default;
};

/// Read pending events until the body is quiet.
struct DrainCall {
  bool operator==(const DrainCall&) const = default;
};

/// Close, find the same body again and open it, resetting no more than the remedy allows; its spare where
/// that is allowed and the body isn't found.
struct ReopenCall {
  order::Remedy remedy = order::Remedy::reopen;
  bool spare = false;
  bool operator==(const ReopenCall&) const = default;
};

using DeviceCall = std::variant<SettingsCall, ReleaseCall, DrainCall, ReopenCall>;

enum class Answer {
  ok,
  busy,     // nothing was done; ask again a little later
  refused,  // the body said no; asking again won't help
  gone,     // the body isn't there any more
  no_word,  // the deadline passed: what was asked may or may not have happened
};
[[nodiscard]] constexpr std::string_view to_text(Answer answer) {
  constexpr std::string_view words[] = {"ok", "busy", "refused", "gone", "no word"};
  return words[static_cast<std::size_t>(answer)];
}

/// Found out between calls: the body that was there isn't any more.
struct Gone {
  Utc at;
  std::string why;
  bool operator==(const Gone&) const = default;
};

/// One frame of a release. `opened` and `closed` are the body's word, or its release plus the measured lag.
struct TakenFrame {
  Utc opened;
  Utc closed;
  bool confirmed = true;  // false: the shutter should have worked, but no picture was announced
  std::vector<std::string> files;
  bool operator==(const TakenFrame&) const = default;
};

/// Exactly one follows each call; no second call is made before it.
struct DeviceAnswer {
  Answer answer = Answer::ok;
  Utc at;                                      // when it came: the body takes the next call from here
  Utc released;                                // of a ReleaseCall: when the call went out
  std::optional<exposure::Exposure> exposure;  // read back, after a SettingsCall; none: it couldn't be
  body::Drive drive = body::Drive::single;     // likewise
  std::vector<TakenFrame> frames;              // of a ReleaseCall: those taken, at most as many as asked
  std::string why;                             // in words, unless ok
  std::string spare = {};  // of a ReopenCall: the serial number of the spare, if it is that
  bool operator==(const DeviceAnswer&) const = default;
};

}  // namespace noonfall::rig
