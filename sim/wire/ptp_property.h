// Device properties: their values and what a body says about them (the
// DevicePropDesc dataset of ISO 15740).
#pragma once

#include <cstdint>
#include <string>
#include <variant>
#include <vector>

#include "sim/wire/ptp_bytes.h"

namespace noonfall::wire {

/// In the order of the standard's data type codes, 0x0001 to 0x0008; the string's is 0xFFFF. Arrays and
/// 128-bit numbers aren't used by any body here.
using Value = std::variant<std::int8_t, std::uint8_t, std::int16_t, std::uint16_t, std::int32_t,
                           std::uint32_t, std::int64_t, std::uint64_t, std::string>;

[[nodiscard]] std::uint16_t type_code(const Value& value);

/// A number as it is, a string as 0.
[[nodiscard]] std::int64_t number(const Value& value);

void write(ByteWriter& writer, const Value& value);
[[nodiscard]] Value read_like(ByteReader& reader, const Value& same_type);

enum class Access : std::uint8_t { read_only = 0, read_write = 1 };

struct ValueRange {
  Value least;
  Value most;
  Value step;
  bool operator==(const ValueRange&) const = default;
};
using ValueList = std::vector<Value>;
/// All of the property's type.
using Form = std::variant<std::monostate, ValueRange, ValueList>;

struct PropertyDescription {
  std::uint16_t code = 0;
  Access access = Access::read_only;
  Value factory_default;
  Value current;
  Form form;
  bool operator==(const PropertyDescription&) const = default;
};

[[nodiscard]] Bytes encode(const PropertyDescription& description);

}  // namespace noonfall::wire
