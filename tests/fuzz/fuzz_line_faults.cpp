// A script of line faults: understood as faults in a right time, or every error explained.
#include "sim/wire/line_fault_script.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto text = fuzz::text_of(data, size);
  const auto faults = wire::parse_line_faults(text, Utc{});
  if (!faults) {
    fuzz::require_explained(faults.error(), text);
    return 0;
  }
  for (const auto& fault : *faults) fuzz::require(fault.from <= fault.until, "a fault begins before it ends");
  return 0;
}
