#include "daemon/clock/grade.h"

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "daemon/clock/span_words.h"
#include "lib/time/utc_text.h"

namespace noonfall::clock {
namespace {

using shotlog::ClockGrade;
using namespace std::chrono_literals;

constexpr Duration limit_a = 20ms;
constexpr Duration limit_b = 100ms;
constexpr Duration limit_c = 500ms;

/// A reading as it stands now, and as it can be used.
struct Weighed {
  Source source;
  Duration error;   // as measured
  Duration bound;   // of that
  Duration taken;   // of the error, to correct the clock by
  Duration usable;  // the bound of what is left
  Origin origin;
};

Weighed weigh(const Reading& reading, BootTime now) {
  const auto bound = aged(reading.bound, now - reading.at);
  const auto taken = reading.source == Source::gps_pulse ? reading.error : Duration{};
  return {reading.source, reading.error, bound, taken, std::chrono::abs(reading.error - taken) + bound,
          reading.origin};
}

bool better(const Weighed& a, const Weighed& b) {
  const auto grade_a = grade_of(a.usable);
  const auto grade_b = grade_of(b.usable);
  if (grade_a != grade_b) return grade_a < grade_b;
  if (grade_a == ClockGrade::f) return a.usable < b.usable;
  return a.source < b.source;
}

/// What a reading leaves open. Beyond its bound, a slow receiver's serial data may be another quarter of a
/// second late without speaking against anybody.
Duration leeway(const Weighed& reading) {
  constexpr Duration slow_serial = 250ms;
  return reading.bound + (reading.source == Source::gps_serial ? slow_serial : Duration{});
}

std::string why_contradicted(const std::vector<Weighed>& readings, const Weighed& best) {
  if (best.source == Source::person) return {};
  for (const auto& other : readings) {
    if (other.source == Source::person) continue;
    const auto apart = std::chrono::abs(other.error - best.error);
    if (apart <= leeway(other) + leeway(best)) continue;
    return fmt::format("{} and {} contradict each other by {}", name_of(best.source), name_of(other.source),
                       span_words(apart));
  }
  return {};
}

/// Of sources that don't contradict each other.
bool seconded(const std::vector<Weighed>& readings, const Weighed& best) {
  if (best.origin == Origin::unknown) return false;
  return std::any_of(readings.begin(), readings.end(), [&](const Weighed& other) {
    return other.origin != Origin::unknown && other.origin != best.origin;
  });
}

std::string why_insane(Utc when, const Sanity& sanity) {
  constexpr Duration around_eclipse = 36h;
  const auto date = to_text(Date{std::chrono::floor<std::chrono::days>(when)});
  if (when < sanity.built) return fmt::format("the clock says {}, before this program was built", date);
  if (sanity.eclipse && std::chrono::abs(when - *sanity.eclipse) > around_eclipse) {
    return fmt::format("the clock says {}, more than 36 h from the eclipse", date);
  }
  return {};
}

std::string nobody_vouches(std::span<const Heard<Reading>> sources) {
  std::string words = "nobody vouches for the clock";
  std::string_view separator = ": ";
  for (const auto& source : sources) {
    if (source || source.error().empty()) continue;
    words += separator;
    words += source.error();
    separator = ", ";
  }
  return words;
}

Judgement not_vouched(Standing standing, std::string words) {
  Judgement verdict;
  verdict.standing = standing;
  verdict.words = std::move(words);
  return verdict;
}

Judgement by_source(Standing standing, const Weighed& best, std::string words) {
  return {standing, best.source, best.taken, best.error - best.taken, best.usable, std::move(words), false};
}

}  // namespace

std::string_view name_of(Source source) {
  constexpr std::array<std::string_view, 5> names{"chronyd", "the GPS pulse", "the kernel",
                                                  "the GPS receiver", "the operator"};
  return names[static_cast<std::size_t>(source)];
}

std::string words_of(Source source, Duration bound) {
  return fmt::format("{}: {}", name_of(source), span_words(bound));
}

Duration aged(Duration bound, Duration age) {
  return bound + from_seconds(std::max(0.0, in_seconds(age)) * drift_ppm * 1e-6);
}

ClockGrade grade_of(Duration bound) {
  if (bound <= limit_a) return ClockGrade::a;
  if (bound <= limit_b) return ClockGrade::b;
  return bound <= limit_c ? ClockGrade::c : ClockGrade::f;
}

shotlog::ClockState state_of(Duration bound) {
  const auto grade = grade_of(bound);
  return {grade, grade == ClockGrade::f ? Duration{} : bound};
}

Judgement judge(std::span<const Heard<Reading>> sources, BootTime now, Utc system_time,
                const Sanity& sanity) {
  std::vector<Weighed> readings;
  for (const auto& source : sources) {
    if (source) readings.push_back(weigh(*source, now));
  }
  if (readings.empty()) {
    auto insane = why_insane(system_time, sanity);
    return not_vouched(Standing::unknown, insane.empty() ? nobody_vouches(sources) : std::move(insane));
  }
  const auto& best = *std::min_element(readings.begin(), readings.end(), better);
  if (auto apart = why_contradicted(readings, best); !apart.empty())
    return not_vouched(Standing::bad, std::move(apart));
  if (auto insane = why_insane(system_time - best.taken, sanity); !insane.empty()) {
    const bool measured = why_insane(system_time - best.error, sanity).empty();
    return measured ? by_source(Standing::bad, best, std::move(insane))
                    : not_vouched(Standing::bad, std::move(insane));
  }
  auto words = words_of(best.source, best.usable);
  if (grade_of(best.usable) != ClockGrade::f) {
    auto vouched = by_source(Standing::vouched, best, std::move(words));
    vouched.seconded = seconded(readings, best);
    return vouched;
  }
  if (std::chrono::abs(best.error) <= leeway(best))
    return not_vouched(Standing::unknown, "nobody knows the clock better than " + words);
  return by_source(Standing::bad, best, "the clock is wrong, says " + words);
}

}  // namespace noonfall::clock
