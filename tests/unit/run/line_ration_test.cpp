// Whatever comes in, and whenever: what a ration lets through is bounded, and nothing goes uncounted.
#include "lib/run/log_writer.h"

#include <numeric>
#include <vector>

#include <doctest/doctest.h>
#include <rapidcheck.h>

using namespace noonfall;
using namespace noonfall::run;
using namespace std::chrono_literals;

TEST_CASE("no ten seconds bring more than two rations, and what is left out is told to the last") {
  const bool held = rc::check([] {
    const auto gaps = *rc::gen::container<std::vector<int>>(rc::gen::inRange(0, 3000));  // ms
    LineRation ration{3, 10s};
    std::vector<Utc> admitted;
    std::int64_t told = 0;
    Utc now{};
    for (const auto gap : gaps) {
      now += gap * 1ms;
      told += ration.take_left_out(now);
      if (ration.admit(now)) admitted.push_back(now);
    }
    for (std::size_t n = 6; n < admitted.size(); ++n) RC_ASSERT(admitted[n] - admitted[n - 6] >= 10s);
    told += ration.take_left_out(Utc::max());
    RC_ASSERT(admitted.size() + static_cast<std::size_t>(told) == gaps.size());
  });
  CHECK(held);
}
