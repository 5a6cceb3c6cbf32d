#include "lib/run/recovery_ladder.h"

#include <array>

namespace noonfall::run {
namespace {

using order::Rung;

constexpr Duration attempt_span = std::chrono::seconds{30};

struct Step {
  Rung rung;
  const char* words;
};
constexpr std::array ladder{
    Step{Rung::reopen, nullptr},
    Step{Rung::reset_port, "still away: its port is reset"},
    Step{Rung::restart_worker,
         "still away: its worker is started anew; look at cable and battery, switch the camera off and on"},
};

}  // namespace

void RecoveryLadder::body_is(bool ready) {
  if (!ready && !away_) *this = {};
  away_ = !ready;
}

std::optional<RecoveryLadder::Attempt> RecoveryLadder::advance(Utc now) {
  if (!away_ || now < until_) return std::nullopt;
  const auto& step = ladder[attempts_++ % ladder.size()];
  until_ = now + attempt_span;
  return Attempt{{step.rung, until_}, step.words};
}

}  // namespace noonfall::run
