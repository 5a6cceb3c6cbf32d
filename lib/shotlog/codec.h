// One log line to its bytes and back.
#pragma once

#include <string>
#include <string_view>

#include "lib/base/result.h"
#include "lib/shotlog/line.h"

namespace noonfall::shotlog {

/// One JSON object and '\n'. "seq" comes first; "crc", last, is the CRC-32C of every byte before `,"crc":`.
/// Text that isn't UTF-8 has its bad bytes replaced.
[[nodiscard]] std::string encode(const Line& line);

/// The reverse, without the '\n'. Errors say what is wrong with the line: "the checksum doesn't match", …;
/// members unknown to this version are ignored.
[[nodiscard]] Result<Line> decode(std::string_view text);

}  // namespace noonfall::shotlog
