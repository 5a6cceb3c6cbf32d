#include "daemon/worker/line_watch.h"

#include <algorithm>
#include <array>
#include <utility>

#include <fmt/format.h>

namespace noonfall::worker {
namespace {

using namespace std::chrono_literals;

constexpr Duration silence = 5s;
constexpr Duration overdue = 2s;
constexpr Duration own_gap = 2s;
constexpr Duration long_life = 10s;
constexpr std::array<Duration, 4> pauses{0s, 1s, 2s, 5s};

}  // namespace

std::optional<std::string> LineWatch::why_hung(BootTime now) {
  const bool stood_still = now - std::exchange(asked_, now) > own_gap;
  if (stood_still) {
    heard_ = now;
    alive_.call.reset();
    return std::nullopt;
  }
  if (now - heard_ > silence) return fmt::format("said nothing for {:.0f} s", in_seconds(silence));
  if (alive_.call && now > alive_.call->deadline + overdue) {
    return fmt::format("hung in a call to the body ({}, {:.1f} s so far)", alive_.call->what,
                       in_seconds(now - alive_.call->since));
  }
  return std::nullopt;
}

Duration RestartPause::after_death(BootTime now) {
  if (attached_ && now - *attached_ >= long_life) deaths_ = 0;
  attached_.reset();
  const auto last = static_cast<int>(pauses.size()) - 1;
  return pauses[static_cast<std::size_t>(std::min(deaths_++, last))];
}

}  // namespace noonfall::worker
