// The one question we ask chronyd, and what may be believed of its answer.
//
// Layout: chrony's candm.h, protocol version 6. Big-endian throughout.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

#include "daemon/clock/heard.h"
#include "lib/time/utc.h"

namespace noonfall::clock {

/// Shorter requests than the reply are dropped by chronyd without a word, so that it can't be made to
/// amplify.
inline constexpr std::size_t chrony_message_size = 104;
using ChronyRequest = std::array<std::byte, chrony_message_size>;

[[nodiscard]] ChronyRequest tracking_request(std::uint32_t sequence);

struct ChronyTracking {
  std::uint32_t reference_id = 0;
  std::uint16_t stratum = 0;
  std::uint16_t leap = 0;        // 3: not synchronised
  Utc reference_time;            // of its last measurement that counted, by the corrected clock
  double correction_s = 0;       // the system clock is so much slow and being brought forward
  double skew_ppm = 0;           // how uncertain its frequency is
  double root_delay_s = 0;       // to the source's source and back
  double root_dispersion_s = 0;  // growing since that measurement
  double update_interval_s = 0;
};

/// Whether `reply` is shaped like an answer to our question number `sequence` at all; others are to be passed
/// over, since they may be late answers to earlier ones.
[[nodiscard]] bool answers(std::span<const std::byte> reply, std::uint32_t sequence);

/// Refuses what isn't a tracking reply with a good status, and impossible figures.
[[nodiscard]] Heard<ChronyTracking> decode_tracking(std::span<const std::byte> reply, std::uint32_t sequence);

/// The error of the system clock, that is its reading less the truth.
struct ChronyError {
  Duration error;
  Duration bound;  // of that error: root dispersion + root delay / 2, and skew × age for an old reference
  bool operator==(const ChronyError&) const = default;
};

/// chronyd's own bound of the system clock (chronyc's manual, "tracking") is |error| + bound. Refuses what
/// vouches for nothing: a local reference, an unsynchronised one, one of another day.
/// `system_time` is the system clock's reading when the answer came.
[[nodiscard]] Heard<ChronyError> judge_tracking(const ChronyTracking& tracking, Utc system_time);

}  // namespace noonfall::clock
