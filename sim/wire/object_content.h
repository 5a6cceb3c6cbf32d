// What is in a simulated file: who made it, then nothing, so that its size is right.
#pragma once

#include "sim/wire/card.h"
#include "sim/wire/ptp_bytes.h"

namespace noonfall::wire {

[[nodiscard]] std::uint16_t object_format(const CardObject& object, std::uint16_t raw_format);

/// At most `size` bytes from `offset` on; none past the end.
[[nodiscard]] Bytes object_content(const CardObject& object, std::uint32_t offset, std::uint32_t size);

}  // namespace noonfall::wire
