// Whatever gpsd, or whoever sits on its port, says: libgps comes back from each line, and what is made of the
// reports is refused with a reason or has a bound.
#include <string>

#include "daemon/clock/gps_time.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  auto text = fuzz::text_of(data, size);
  const Utc built{std::chrono::sys_days{std::chrono::year{2026} / 1 / 1}};
  BootTime boot{std::chrono::hours{1}};
  clock::GpsTime gps;
  while (!text.empty()) {
    const auto line = text.substr(0, text.find('\n'));
    text.remove_prefix(std::min(line.size() + 1, text.size()));
    boot += std::chrono::seconds{1};
    const auto report = clock::read_gpsd_report(std::string{line});
    if (!report) continue;
    gps.take(*report, boot, built + boot.time_since_epoch());
    const auto estimate = gps.estimate(boot, built);
    fuzz::require(estimate ? estimate->bound.count() > 0 : !estimate.error().empty(),
                  "an estimate has a bound, a refusal a reason");
  }
  return 0;
}
