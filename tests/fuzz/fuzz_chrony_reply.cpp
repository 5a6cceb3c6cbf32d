// Whatever chronyd, or whoever sits on its port, answers: figures come out possible or not at all, and an
// answer cut short is never one.
#include <cmath>
#include <span>

#include "daemon/clock/chrony_tracking.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto reply = std::as_bytes(std::span{data, size});
  constexpr std::uint32_t sequence = 0x01020304;
  const auto tracking = clock::decode_tracking(reply, sequence);
  if (!tracking) {
    fuzz::require(!tracking.error().empty(), "a refused answer has a reason");
    return 0;
  }
  fuzz::require(clock::answers(reply, sequence), "what is decoded answers our question");
  for (const double figure : {tracking->skew_ppm, tracking->root_delay_s, tracking->root_dispersion_s,
                              std::abs(tracking->correction_s)}) {
    fuzz::require(figure >= 0 && figure < 1e9, "a figure is possible");
  }
  const Utc now = tracking->reference_time + std::chrono::hours{1};
  const auto judged = clock::judge_tracking(*tracking, now);
  fuzz::require(judged ? judged->bound.count() >= 0 : !judged.error().empty(),
                "a bound is a size, a refusal has a reason");
  fuzz::require(!clock::decode_tracking(reply.first(size - 1), sequence), "a cut answer is none");
  return 0;
}
