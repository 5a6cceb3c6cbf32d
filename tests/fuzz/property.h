// What a fuzzer holds a parser to beyond not crashing.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>

#include "lib/base/diagnostic.h"

namespace noonfall::fuzz {

/// Stops the program with `property` on stderr unless `holds`: a finding.
void require(bool holds, std::string_view property);

/// Requires of a refusal that it has a reason, and that each reason is an error with a code, a message, a
/// remedy and a place inside `text`.
void require_explained(const Diagnostics& findings, std::string_view text);

inline std::string_view text_of(const std::uint8_t* data, std::size_t size) {
  return {reinterpret_cast<const char*>(data), size};
}

}  // namespace noonfall::fuzz
