#include "lib/shotlog/checksum.h"

#include <doctest/doctest.h>

using namespace noonfall::shotlog;

TEST_CASE("CRC-32C gives the published check values") {
  // RFC 3720 B.4: 32 bytes of zeros, of ones, and 0..31; "123456789" is the catalogued check value E3069283.
  CHECK(crc32c("123456789") == 0xE3069283U);
  CHECK(crc32c(std::string(32, '\0')) == 0x8A9136AAU);
  CHECK(crc32c(std::string(32, '\xff')) == 0x62A8AB43U);
  std::string rising;
  for (char c = 0; c < 32; ++c) rising += c;
  CHECK(crc32c(rising) == 0x46DD794EU);
  CHECK(crc32c_text("123456789") == "e3069283");
}

TEST_CASE("SHA-256 gives the published check values") {
  // FIPS 180-2 appendix B.1 ("abc") and the digest of the empty message.
  CHECK(sha256_text("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(sha256_text("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}
