// chronyd's side of its protocol, written from candm.h (chrony 4.3, protocol 6) apart from the code under
// test.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "lib/time/utc.h"

namespace noonfall::clock::tests {

/// What a healthy chronyd says by itself; a test changes what it is about.
struct Answer {
  std::uint8_t version = 6;
  std::uint8_t type = 2;
  std::uint16_t command = 33;
  std::uint16_t reply = 5;
  std::uint16_t status = 0;
  std::uint32_t sequence = 1;
  std::uint32_t reference_id = 0x50505300;  // "PPS"
  std::uint16_t stratum = 1;
  std::uint16_t leap = 0;
  Utc reference_time;
  double correction_s = 0;
  double skew_ppm = 0.05;
  double root_delay_s = 0.002;
  double root_dispersion_s = 0.001;
  double update_interval_s = 16;
};

/// Nearest Float of candm.h to `value`.
[[nodiscard]] std::uint32_t float_bits(double value);

[[nodiscard]] std::vector<std::byte> bytes_of(const Answer& answer);
void put(std::vector<std::byte>& bytes, std::size_t at, std::size_t count, std::uint64_t value);

}  // namespace noonfall::clock::tests
