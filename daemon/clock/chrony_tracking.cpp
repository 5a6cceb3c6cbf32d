#include "daemon/clock/chrony_tracking.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>

#include <fmt/format.h>

#include "daemon/clock/span_words.h"

namespace noonfall::clock {
namespace {

constexpr std::uint32_t version = 6;
constexpr std::uint32_t request_type = 1;
constexpr std::uint32_t reply_type = 2;
constexpr std::uint32_t tracking_command = 33;
constexpr std::uint32_t tracking_reply = 5;
constexpr std::uint32_t local_reference = 0x7F7F0101;
constexpr std::uint16_t unsynchronised = 3;

using Bytes = std::span<const std::byte>;

std::uint32_t number(Bytes bytes, std::size_t at, std::size_t count) {
  std::uint32_t value = 0;
  for (const auto byte : bytes.subspan(at, count))
    value = (value << 8U) | std::to_integer<std::uint32_t>(byte);
  return value;
}

void put(ChronyRequest& request, std::size_t at, std::size_t count, std::uint32_t value) {
  for (std::size_t i = count; i-- > 0; value >>= 8U) request[at + i] = static_cast<std::byte>(value & 0xFFU);
}

/// The lowest `bits` of `value` as two's complement.
int signed_of(std::uint32_t value, unsigned bits) {
  const auto sign = 1U << (bits - 1);
  const auto low = value & ((sign << 1U) - 1);
  return static_cast<int>(low ^ sign) - static_cast<int>(sign);
}

/// candm.h's Float: 7 bits of exponent, 25 of coefficient, both signed.
double real(Bytes bytes, std::size_t at) {
  const auto word = number(bytes, at, 4);
  return std::ldexp(signed_of(word, 25), signed_of(word >> 25U, 7) - 25);
}

/// Seconds since 1970 in two halves, and nanoseconds. Nothing for an instant no clock of ours can show.
std::optional<Utc> instant(Bytes bytes, std::size_t at) {
  constexpr std::uint32_t no_high_half = 0x7FFFFFFF;  // from hosts with 32 bits of time
  const auto written = number(bytes, at, 4);
  const auto high = written == no_high_half ? 0 : written;
  const auto nanoseconds = number(bytes, at + 8, 4);
  if (high > 1 || nanoseconds >= 1'000'000'000) return std::nullopt;
  const auto seconds = (std::int64_t{high} << 32U) | number(bytes, at + 4, 4);
  return Utc{std::chrono::seconds{seconds} + Duration{nanoseconds / 1000}};
}

/// chronyd writes an infinite figure as the largest one (about 1e18); no honest figure comes near a year.
bool possible(double figure) {
  constexpr double year_s = 3.2e7;
  return figure >= 0 && figure < year_s;
}

bool possible(const ChronyTracking& tracking) {
  return possible(std::abs(tracking.correction_s)) && possible(tracking.skew_ppm) &&
         possible(tracking.root_delay_s) && possible(tracking.root_dispersion_s) &&
         possible(std::abs(tracking.update_interval_s));
}

std::string why_no_reply(Bytes reply, std::uint32_t sequence) {
  if (reply.size() != chrony_message_size) {
    return fmt::format("chronyd answers with {} bytes instead of {}", reply.size(), chrony_message_size);
  }
  if (number(reply, 0, 1) != version) {
    return fmt::format("chronyd speaks version {} of its protocol, this program knows {}",
                       number(reply, 0, 1), version);
  }
  if (number(reply, 1, 1) != reply_type || number(reply, 4, 2) != tracking_command ||
      number(reply, 16, 4) != sequence) {
    return "chronyd's answer is to another question";
  }
  if (const auto status = number(reply, 8, 2); status != 0) {
    return fmt::format("chronyd refuses to answer (status {})", status);
  }
  if (number(reply, 6, 2) != tracking_reply) return "chronyd's answer is to another question";
  return {};
}

}  // namespace

ChronyRequest tracking_request(std::uint32_t sequence) {
  ChronyRequest request{};
  put(request, 0, 1, version);
  put(request, 1, 1, request_type);
  put(request, 4, 2, tracking_command);
  put(request, 8, 4, sequence);
  return request;
}

bool answers(Bytes reply, std::uint32_t sequence) {
  return reply.size() >= 20 && number(reply, 16, 4) == sequence;
}

Heard<ChronyTracking> decode_tracking(Bytes reply, std::uint32_t sequence) {
  if (auto why = why_no_reply(reply, sequence); !why.empty()) return NotHeard{std::move(why)};
  ChronyTracking tracking{
      .reference_id = number(reply, 28, 4),
      .stratum = static_cast<std::uint16_t>(number(reply, 52, 2)),
      .leap = static_cast<std::uint16_t>(number(reply, 54, 2)),
      .reference_time = {},
      .correction_s = real(reply, 68),
      .skew_ppm = real(reply, 88),
      .root_delay_s = real(reply, 92),
      .root_dispersion_s = real(reply, 96),
      .update_interval_s = real(reply, 100),
  };
  const auto reference_time = instant(reply, 56);
  if (!reference_time || !possible(tracking)) return NotHeard{"chronyd's answer holds impossible figures"};
  tracking.reference_time = *reference_time;
  return tracking;
}

Heard<ChronyError> judge_tracking(const ChronyTracking& tracking, Utc system_time) {
  constexpr std::chrono::hours oldest{24};
  constexpr std::chrono::seconds ahead{1};
  if (tracking.leap == unsynchronised || tracking.stratum == 0 || tracking.stratum >= 16) {
    return NotHeard{"chronyd is not synchronised"};
  }
  if (tracking.reference_id == local_reference) {
    return NotHeard{"chronyd takes this computer's own clock for its reference"};
  }
  const auto correction = from_seconds(tracking.correction_s);
  // The reference time is by the corrected clock, which a set system clock is far from.
  const Duration age = system_time + correction - tracking.reference_time;
  if (age < -ahead)
    return NotHeard{"chronyd's last measurement lies in the future: the clock was set back since"};
  if (age > oldest) return NotHeard{fmt::format("chronyd's last measurement is {} old", span_words(age))};
  double bound_s = tracking.root_dispersion_s + tracking.root_delay_s / 2;
  const double shortest_interval_s = 64;  // its default
  const double few_intervals_s = 3 * std::max(std::abs(tracking.update_interval_s), shortest_interval_s);
  if (in_seconds(age) > few_intervals_s) bound_s += tracking.skew_ppm * 1e-6 * in_seconds(age);
  return ChronyError{-correction, from_seconds(bound_s)};
}

}  // namespace noonfall::clock
