// What all sources together say of the system clock: its error, a bound of that, and who says so.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "daemon/clock/heard.h"
#include "lib/shotlog/line.h"
#include "lib/time/boot_clock.h"

namespace noonfall::clock {

/// In order of preference among equal grades.
enum class Source { chronyd, gps_pulse, kernel, gps_serial, person };

/// Where a source has its time from, as far as it tells. Two of the same origin are one witness.
enum class Origin { unknown, receiver, network };

/// One source's word: at `at` the system clock's reading less the truth was within `bound` of `error`.
struct Reading {
  Source source = Source::person;
  BootTime at;
  Duration error{};
  Duration bound{};
  Origin origin = Origin::unknown;
};

/// A clock nobody looks after drifts no faster (RFC 5905's PHI).
inline constexpr double drift_ppm = 15;
/// What a bound has become after `age`.
[[nodiscard]] Duration aged(Duration bound, Duration age);

[[nodiscard]] shotlog::ClockGrade grade_of(Duration bound);
/// Zero bound at grade F.
[[nodiscard]] shotlog::ClockState state_of(Duration bound);

/// Dates no right clock shows on the day.
struct Sanity {
  Utc built;                   // this program
  std::optional<Utc> eclipse;  // its greatest, when run for the event; the clock must be within 36 h of it
};

/// `unknown`: nobody speaks for the clock. `bad`: somebody speaks against it, or its date can't be.
enum class Standing { vouched, unknown, bad };

struct Judgement {
  Standing standing = Standing::unknown;
  std::optional<Source> source;  // when vouched, or bad but measured
  Duration error{};              // of the system clock, to be taken off its reading; when there is a source
  Duration left{};               // of the measured error, but not to be taken off; likewise
  Duration bound{};              // of what is left; when vouched at most 500 ms; likewise
  std::string words;             // "chronyd: 3.2 ms", "nobody vouches for the clock: …"
  bool seconded = false;         // another instrument, of another origin, says the same
};

/// "chronyd", "the GPS pulse".
[[nodiscard]] std::string_view name_of(Source source);
/// "chronyd: 3.2 ms".
[[nodiscard]] std::string words_of(Source source, Duration bound);

/// Only a pulse is fine enough to correct the clock by; of any other source the error counts into the bound.
/// Sources that exclude each other vouch for nothing; a person's word yields to the instruments'. A source
/// that finds the clock wrong, by a time that can be, is named with what it measured: another clock may
/// agree.
[[nodiscard]] Judgement judge(std::span<const Heard<Reading>> sources, BootTime now, Utc system_time,
                              const Sanity& sanity);

}  // namespace noonfall::clock
