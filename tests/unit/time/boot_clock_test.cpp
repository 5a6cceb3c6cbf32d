#include "lib/time/boot_clock.h"

#include <doctest/doctest.h>

using namespace noonfall;
using namespace std::chrono_literals;

namespace {

constexpr Utc noon{1'817'208'000s};

BootTime boot(Duration since) {
  return BootTime{since};
}

}  // namespace

TEST_CASE("a mapping at speed 1 is a plain offset, exact both ways") {
  const ClockMapping mapping{boot(100s), noon, 1};
  CHECK(mapping.utc_at(boot(100s)) == noon);
  CHECK(mapping.utc_at(boot(7'300s + 1us)) == noon + 2h + 1us);
  CHECK(mapping.utc_at(boot(99s)) == noon - 1s);
  CHECK(mapping.boot_at(noon + 2h + 1us) == boot(7'300s + 1us));
  CHECK(mapping.boot_at(noon - 1s) == boot(99s));
}

TEST_CASE(
    "at another speed a wait until boot_at() reaches its instant, by no more than the speed's microseconds") {
  for (const double speed : {0.1, 3.0, 60.0, 1000.0}) {
    const ClockMapping mapping{boot(100s), noon, speed};
    for (const Duration wait : {Duration{1us}, Duration{999'999us}, Duration{1h}, Duration{-1s}}) {
      const auto reached = mapping.utc_at(mapping.boot_at(noon + wait));
      CHECK(reached >= noon + wait);
      CHECK(reached <= noon + wait + Duration{static_cast<std::int64_t>(speed) + 2});
    }
  }
}
