// Members that occur in several lines, to JSON and back with every range checked. Only for this folder's .cpp
// files.
#pragma once

#include <cstdint>
#include <limits>
#include <string>

#include <nlohmann/json.hpp>

#include "lib/body/profile.h"
#include "lib/exposure/exposure.h"
#include "lib/order/order.h"
#include "lib/time/boot_clock.h"

namespace noonfall::worker {

using Json = nlohmann::ordered_json;

/// Thrown by the readers below, caught where a line is decoded.
struct BadMember {
  std::string what;
};

[[nodiscard]] std::string dumped(const Json& line);  // with '\n'
[[nodiscard]] std::string clipped(const std::string& words);

[[nodiscard]] const Json& member(const Json& in, const char* name);
[[nodiscard]] std::int64_t integer(const Json& value, const char* name,
                                   std::int64_t least = std::numeric_limits<std::int64_t>::min(),
                                   std::int64_t most = std::numeric_limits<std::int64_t>::max());
[[nodiscard]] std::string text(const Json& value, const char* name);
[[nodiscard]] bool flag(const Json& value, const char* name);
[[nodiscard]] std::int32_t whole_number(const Json& value, const char* name);

/// Microseconds, within 250 years of 1970, so that sums of a few stay far from overflow; what lies further
/// out is written as that.
[[nodiscard]] Utc instant(const Json& value, const char* name);
[[nodiscard]] BootTime boot_instant(const Json& value, const char* name);
[[nodiscard]] std::int64_t us(Duration span);
[[nodiscard]] inline std::int64_t us(Utc when) {
  return us(when.time_since_epoch());
}
[[nodiscard]] inline std::int64_t us(BootTime when) {
  return us(when.time_since_epoch());
}

/// [rig, step, set, frame].
[[nodiscard]] Json to_json(const order::FrameId& id);
[[nodiscard]] order::FrameId frame_id(const Json& value);

/// ["1/1600", "f/8", 400]; null for an aperture that the body can't set.
[[nodiscard]] Json to_json(const exposure::Exposure& exposure);
[[nodiscard]] exposure::Exposure get_exposure(const Json& value);

[[nodiscard]] body::Drive get_drive(const Json& value);

}  // namespace noonfall::worker
