// What the port driver inside a host program asks of a body's process, and the answers: one datagram each.
#pragma once

#include <cstdint>
#include <optional>

#include "sim/wire/ptp_bytes.h"

namespace noonfall::wire {

/// Answers say how it went in libgphoto2's port codes, which are part of its interface.
namespace port {
inline constexpr std::int32_t ok = 0;
inline constexpr std::int32_t bad_parameters = -2;
inline constexpr std::int32_t io = -7;
inline constexpr std::int32_t timeout = -10;
inline constexpr std::int32_t no_device = -52;
inline constexpr std::int32_t claimed = -53;
}  // namespace port

struct LineRequest {
  enum class Verb : std::uint8_t { who, open, close, write, read, interrupt, reset };
  Verb verb = Verb::who;
  std::uint32_t most = 0;        // bytes of a read; of an open, the address of the body meant
  std::uint32_t timeout_ms = 0;  // how long a read or an interrupt waits
  Bytes bytes{};                 // of a write
  bool operator==(const LineRequest&) const = default;
};

struct LineAnswer {
  std::int32_t result = port::ok;
  Bytes bytes{};
  bool operator==(const LineAnswer&) const = default;
};

/// The answer to `who`: where the body is on the bus, and what it is.
struct BusPlace {
  std::uint16_t bus = 1;
  std::uint16_t address = 1;
  std::uint16_t vendor = 0;
  std::uint16_t product = 0;
  bool operator==(const BusPlace&) const = default;
};

/// Longer reads are answered in parts: a datagram holds no more.
inline constexpr std::size_t most_in_datagram = 64 * 1024;

[[nodiscard]] Bytes encode(const LineRequest& request);
[[nodiscard]] Bytes encode(const LineAnswer& answer);
[[nodiscard]] Bytes encode(const BusPlace& place);
[[nodiscard]] std::optional<LineRequest> decode_line_request(ByteView bytes);
[[nodiscard]] std::optional<LineAnswer> decode_line_answer(ByteView bytes);
[[nodiscard]] std::optional<BusPlace> decode_bus_place(ByteView bytes);

}  // namespace noonfall::wire
