// What the camera library's driver says went wrong, and what that means to a rig.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "lib/rig/device.h"

namespace noonfall::gphoto {

/// Result codes of the library that survive its driver; most reasons become `unspecific`.
namespace result {
inline constexpr int unspecific = -1;
inline constexpr int bad_parameters = -2;
inline constexpr int unsupported = -6;
inline constexpr int line_failed = -7;
inline constexpr int timed_out = -10;
inline constexpr int device_gone = -52;
inline constexpr int claimed_elsewhere = -53;
inline constexpr int camera_busy = -110;
}  // namespace result

/// A failed call: its code, and all that the error callback was told meanwhile.
struct DriverError {
  int code = result::unspecific;
  std::string text;
  bool operator==(const DriverError&) const = default;
};

/// A value, or how the call failed.
template <class T>
using Tried = tl::expected<T, DriverError>;

/// The body's own response code: "… (0x200c: …)", or by the words that stand for it.
[[nodiscard]] std::optional<std::uint16_t> ptp_code(std::string_view text);

/// What a failed call comes to. A line that failed or timed out leaves open what the body did.
[[nodiscard]] rig::Answer answer_of(const DriverError& error);

/// In words for a log: "the card is full (PTP 0x200C)".
[[nodiscard]] std::string words_of(const DriverError& error);

}  // namespace noonfall::gphoto
