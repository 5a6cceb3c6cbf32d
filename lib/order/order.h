// The words between the core (lib/run) and a rig (lib/rig): what is asked, and what is answered.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "lib/body/profile.h"
#include "lib/exposure/exposure.h"
#include "lib/time/utc.h"

namespace noonfall::order {

/// Which frame: the rig and step by their index in the timeline, the set within the step and the frame within
/// the set, both from 1. An id is used for one frame only, ever.
struct FrameId {
  std::int32_t rig = 0;
  std::int32_t step = 0;
  std::int32_t set = 1;
  std::int32_t frame = 1;
  auto operator<=>(const FrameId&) const = default;
};

struct OrderedFrame {
  FrameId id;
  exposure::Exposure exposure;
  Utc due;     // when the shutter should open; for back-to-back frames the predicted instant
  Utc latest;  // the shutter opens by then or not at all
  bool operator==(const OrderedFrame&) const = default;
};

/// Frames to take one after the other. The rig sends the first frame's settings as soon as the body allows
/// and `prepare_from` has come, opens the first shutter not before `earliest`, and goes on frame by frame as
/// fast as the body does. A frame whose `latest` has passed is skipped; when `whole_or_none` and the first is
/// skipped, all are. A body that kept another exposure than it was asked for takes no frame that would close
/// after `closed_by`. With the drive at bracket all of them are one release; a body that won't take it has
/// them one by one.
struct Order {
  std::int64_t id = 0;  // rising, never used again
  std::vector<OrderedFrame> frames;
  body::Drive drive = body::Drive::single;
  Utc prepare_from;
  Utc earliest;
  Utc closed_by = Utc::max();  // every shutter is closed by then
  bool whole_or_none = false;
  bool operator==(const Order&) const = default;
};

/// A core asks for two orders at a time; a rig has room for as many again that the core has given up.
inline constexpr std::size_t most_held = 4;

/// An order that a rig has not done with, and since when it is the one in progress.
struct HeldOrder {
  std::int64_t order = 0;
  std::optional<Utc> started;
  bool operator==(const HeldOrder&) const = default;
};

/// Take no further frame of this order. A frame already released is reported as usual.
struct Cancel {
  std::int64_t order = 0;
  std::string why;
  bool operator==(const Cancel&) const = default;
};

/// Bring the body back by nothing stronger than this remedy, trying until `until`. A body that is there is
/// drained by the mildest, and its settings are sent anew.
/// The last two are the daemon's: no worker is told of them.
enum class Remedy { drain_and_retry, reopen, reset_port, restart_worker, cycle_power };
[[nodiscard]] std::string_view to_text(Remedy remedy);
struct Recover {
  Remedy remedy = Remedy::reopen;
  Utc until;
  bool spare = false;  // where the body isn't found, its spare takes its place
  bool operator==(const Recover&) const = default;
};

using ToRig = std::variant<Order, Cancel, Recover>;

enum class Outcome {
  fired,      // the body confirmed it
  failed,     // asked for, and the body or its worker refused or couldn't
  unknown,    // asked for, and no word came back
  skipped,    // not asked for: its time had passed
  cancelled,  // not asked for: the order was cancelled
};
[[nodiscard]] std::string_view to_text(Outcome outcome);

/// The order became the one in progress: its first settings are being sent.
struct OrderStarted {
  std::int64_t order = 0;
  Utc at;
  bool operator==(const OrderStarted&) const = default;
};

/// The last word on a frame; each ordered frame gets exactly one.
struct FrameDone {
  std::int64_t order = 0;
  FrameId id;
  Outcome outcome = Outcome::fired;
  Utc at;          // when this was known
  Utc released{};  // the release call that the body took or refused, or left without a word; else the epoch
  Utc opened{};    // the shutter, by the body's word or release + measured lag; meaningful when fired
  Utc closed{};
  exposure::Exposure exposure;  // what the body was set to, read back
  std::vector<std::string> files{};
  std::string why;  // empty when fired as asked
  bool operator==(const FrameDone&) const = default;
};

/// No frame of the order is left. Follows the last FrameDone.
struct OrderDone {
  std::int64_t order = 0;
  Utc at;
  bool operator==(const OrderDone&) const = default;
};

/// The body came or went, or something happened to it that a person should know.
struct RigState {
  std::int32_t rig = 0;
  bool ready = true;
  Utc at;
  std::string why;         // empty when it is simply ready
  std::string spare = {};  // the serial number of the one that took its place, once it did
  bool operator==(const RigState&) const = default;
};

using Report = std::variant<OrderStarted, FrameDone, OrderDone, RigState>;

}  // namespace noonfall::order
