// The two checksums of the log: CRC-32C for a line, SHA-256 for a plan or profile.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace noonfall::shotlog {

/// CRC-32C (Castagnoli), as in RFC 3720.
[[nodiscard]] std::uint32_t crc32c(std::string_view bytes);
/// Eight lower-case hexadecimal digits of it.
[[nodiscard]] std::string crc32c_text(std::string_view bytes);
/// SHA-256 (FIPS 180-4) as 64 lower-case hexadecimal digits.
[[nodiscard]] std::string sha256_text(std::string_view bytes);

}  // namespace noonfall::shotlog
