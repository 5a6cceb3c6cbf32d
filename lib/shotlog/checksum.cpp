#include "lib/shotlog/checksum.h"

#include <array>

#include <fmt/format.h>
#include <nettle/sha2.h>
#include <boost/crc.hpp>

namespace noonfall::shotlog {

std::uint32_t crc32c(std::string_view bytes) {
  boost::crc_optimal<32, 0x1EDC6F41, 0xFFFFFFFF, 0xFFFFFFFF, true, true> crc;
  crc.process_bytes(bytes.data(), bytes.size());
  return crc.checksum();
}

std::string crc32c_text(std::string_view bytes) {
  return fmt::format("{:08x}", crc32c(bytes));
}

std::string sha256_text(std::string_view bytes) {
  sha256_ctx context;
  sha256_init(&context);
  sha256_update(&context, bytes.size(), reinterpret_cast<const std::uint8_t*>(bytes.data()));
  std::array<std::uint8_t, SHA256_DIGEST_SIZE> digest;
  sha256_digest(&context, digest.size(), digest.data());
  std::string text;
  for (const auto byte : digest) text += fmt::format("{:02x}", byte);
  return text;
}

}  // namespace noonfall::shotlog
