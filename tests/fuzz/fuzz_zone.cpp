// Any bytes are a zone file or are refused with a reason; a zone knows an offset at any instant.
#include "lib/time/zone.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto zone = Zone::parse(fuzz::text_of(data, size));
  if (!zone) {
    fuzz::require(has_errors(zone.error()), "has a reason");
    return 0;
  }
  for (const std::int64_t second : {-20'000'000'000, 0L, 1'817'000'000L, 20'000'000'000}) {
    const auto ahead = zone->at(Utc{std::chrono::seconds{second}}).ahead;
    fuzz::require(std::chrono::abs(ahead) <= std::chrono::hours{26}, "an offset is a day or so at most");
  }
  return 0;
}
