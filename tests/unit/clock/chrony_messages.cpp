#include "tests/unit/clock/chrony_messages.h"

#include <cmath>

namespace noonfall::clock::tests {

std::uint32_t float_bits(double value) {
  int exponent = 0;
  const double fraction = std::frexp(value, &exponent);  // 0.5 <= |fraction| < 1
  const auto coefficient = static_cast<std::int32_t>(std::lround(std::ldexp(fraction, 24)));
  const auto shifted = exponent + 1;
  return (static_cast<std::uint32_t>(shifted & 0x7F) << 25U) |
         (static_cast<std::uint32_t>(coefficient) & 0x1FFFFFFU);
}

void put(std::vector<std::byte>& bytes, std::size_t at, std::size_t count, std::uint64_t value) {
  for (std::size_t i = count; i-- > 0; value >>= 8U) bytes.at(at + i) = static_cast<std::byte>(value & 0xFFU);
}

std::vector<std::byte> bytes_of(const Answer& answer) {
  std::vector<std::byte> bytes(104);
  put(bytes, 0, 1, answer.version);
  put(bytes, 1, 1, answer.type);
  put(bytes, 4, 2, answer.command);
  put(bytes, 6, 2, answer.reply);
  put(bytes, 8, 2, answer.status);
  put(bytes, 16, 4, answer.sequence);
  put(bytes, 28, 4, answer.reference_id);
  put(bytes, 48, 2, 1);  // address family IPv4
  put(bytes, 52, 2, answer.stratum);
  put(bytes, 54, 2, answer.leap);
  const auto since_1970 = static_cast<std::uint64_t>(answer.reference_time.time_since_epoch().count());
  put(bytes, 56, 8, since_1970 / 1'000'000);
  put(bytes, 64, 4, since_1970 % 1'000'000 * 1000);
  put(bytes, 68, 4, float_bits(answer.correction_s));
  put(bytes, 88, 4, float_bits(answer.skew_ppm));
  put(bytes, 92, 4, float_bits(answer.root_delay_s));
  put(bytes, 96, 4, float_bits(answer.root_dispersion_s));
  put(bytes, 100, 4, float_bits(answer.update_interval_s));
  return bytes;
}

}  // namespace noonfall::clock::tests
