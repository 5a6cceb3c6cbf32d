// What the daemon and a camera worker say to each other, as values. docs/worker-protocol.md is the same for
// readers of the line.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "daemon/worker/body_identity.h"
#include "lib/look/sun_seen.h"
#include "lib/order/order.h"
#include "lib/rig/camera.h"
#include "lib/run/input_output.h"
#include "lib/time/boot_clock.h"

namespace noonfall::worker {

inline constexpr int protocol_version = 1;
inline constexpr std::size_t longest_line = 256U << 10U;  // bytes, the line end among them
inline constexpr std::size_t most_frames = 4096;          // of one order

/// Of the rig's worker: rigs may be called anything, their index can't clash.
[[nodiscard]] inline std::string socket_name(std::int32_t rig) {
  return "rig-" + std::to_string(rig) + ".sock";
}

struct DaemonHello {
  int version = protocol_version;
  bool operator==(const DaemonHello&) const = default;
};

/// Beside the orders it holds, nothing will be asked of the rig before then; the end of time: nothing any
/// more.
struct NextDue {
  Utc at;
  bool operator==(const NextDue&) const = default;
};

/// Small pictures may be fetched when nothing is due. Not said: they may not.
struct MayLook {
  bool allowed = false;
  bool operator==(const MayLook&) const = default;
};

/// This report and all before it are safe: the worker may forget them.
struct Acknowledge {
  std::int64_t report = 0;
  bool operator==(const Acknowledge&) const = default;
};

/// Finish the frame in progress, close the body, exit.
struct Quit {
  bool operator==(const Quit&) const = default;
};

/// The hello comes first, the clock before any order.
using ToWorker = std::variant<DaemonHello, ClockMapping, order::Order, order::Cancel, order::Recover, NextDue,
                              Acknowledge, Quit, MayLook>;

/// Of another version, only `version` is good.
struct WorkerHello {
  int version = protocol_version;
  std::int32_t pid = 0;
  std::int32_t rig = 0;
  BodyIdentity body;
  std::int64_t last_order = 0;         // the last one accepted; 0 before the first
  std::vector<order::HeldOrder> held;  // orders whose end isn't acknowledged yet
  std::int64_t first_report = 1;       // the first unacknowledged one, or the next
};

/// Numbered from 1 by each worker process, sent again on each new line until acknowledged.
struct NumberedReport {
  std::int64_t number = 0;
  order::Report report;
  bool operator==(const NumberedReport&) const = default;
};

/// Said each second.
struct Alive {
  struct Call {
    std::string what;
    BootTime since;
    BootTime deadline;  // it should have been answered by then
    bool operator==(const Call&) const = default;
  };
  std::optional<Call> call;
  rig::Levels levels = {};
  bool operator==(const Alive&) const = default;
};

/// For the person and the log; nothing follows from it.
struct Note {
  std::string words;
  bool operator==(const Note&) const = default;
};

/// What was said can't be done or understood. With an order: none of its frames will be taken.
struct Refusal {
  std::string words;
  std::optional<std::int64_t> order;
  bool operator==(const Refusal&) const = default;
};

inline constexpr std::size_t largest_picture = 128U << 10U;  // bytes

/// The body's own small picture of a frame it took.
struct Picture {
  order::FrameId frame;
  Utc opened;
  exposure::Exposure exposure;
  look::SunSeen seen;
  std::string jpeg;  // at most `largest_picture`
  bool operator==(const Picture&) const = default;
};

using FromWorker = std::variant<WorkerHello, NumberedReport, Alive, Note, Refusal, Picture>;

}  // namespace noonfall::worker
