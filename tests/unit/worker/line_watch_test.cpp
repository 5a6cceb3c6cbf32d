#include "daemon/worker/line_watch.h"

#include <doctest/doctest.h>

namespace noonfall::worker {
namespace {

using namespace std::chrono_literals;

constexpr BootTime zero{};

/// Asks each second up to `until`; what it said last.
std::optional<std::string> ask_until(LineWatch& watch, BootTime from, BootTime until) {
  std::optional<std::string> why;
  for (auto now = from; now <= until; now += 1s) why = watch.why_hung(now);
  return why;
}

}  // namespace

TEST_CASE("a worker silent for more than five seconds counts as hung") {
  LineWatch watch{zero};
  CHECK_FALSE(ask_until(watch, zero, zero + 5s));
  watch.heard(zero + 5s);
  CHECK_FALSE(ask_until(watch, zero + 6s, zero + 10s));
  CHECK(watch.why_hung(zero + 11s) == "said nothing for 5 s");
}

TEST_CASE("a call two seconds over its deadline hangs, however alive the worker sounds") {
  LineWatch watch{zero};
  watch.heard(Alive{Alive::Call{"reopen", zero, zero + 3s}});
  for (auto now = zero; now <= zero + 5s; now += 1s) {
    watch.heard(now);
    CHECK_FALSE(watch.why_hung(now));
  }
  watch.heard(zero + 5500ms);
  CHECK(watch.why_hung(zero + 5500ms) == "hung in a call to the body (reopen, 5.5 s so far)");
  watch.heard(Alive{});
  CHECK_FALSE(watch.why_hung(zero + 5600ms));
}

TEST_CASE("silence while we ourselves stood still means nothing") {
  LineWatch watch{zero};
  watch.heard(Alive{Alive::Call{"release", zero, zero + 1s}});
  CHECK_FALSE(watch.why_hung(zero + 1h));
  CHECK_FALSE(ask_until(watch, zero + 1h + 1s, zero + 1h + 5s));
  CHECK(watch.why_hung(zero + 1h + 6s) == "said nothing for 5 s");
}

TEST_CASE("a new worker comes at once, then after 1 s, 2 s, 5 s, and at once again after a long life") {
  RestartPause pause;
  CHECK(pause.after_death(zero) == 0s);
  CHECK(pause.after_death(zero) == 1s);
  pause.attached(zero + 1s);
  CHECK(pause.after_death(zero + 2s) == 2s);
  CHECK(pause.after_death(zero + 5s) == 5s);
  CHECK(pause.after_death(zero + 60s) == 5s);
  pause.attached(zero + 61s);
  CHECK(pause.after_death(zero + 71s) == 0s);
}

}  // namespace noonfall::worker
