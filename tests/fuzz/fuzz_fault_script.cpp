// Fault scripts, and their faults resolved under a sky with all contacts.
#include <array>

#include "sim/body/fault_script.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

namespace {

contacts::Circumstances total_eclipse() {
  contacts::Circumstances sky;
  sky.kind = contacts::Kind::total;
  Utc at{std::chrono::sys_days{std::chrono::year{2027} / 8 / 2}};
  for (auto& contact : sky.contacts) {
    contact.emplace();
    contact->utc = at += std::chrono::minutes{2};
  }
  return sky;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto text = fuzz::text_of(data, size);
  const auto script = sim::parse_fault_script(text);
  if (!script) {
    fuzz::require_explained(script.error(), text);
    return 0;
  }
  const std::array<std::string, 2> rigs{"long", "wide"};
  const auto faults = sim::resolve_faults(*script, total_eclipse(), rigs);
  if (!faults) {
    fuzz::require_explained(faults.error(), text);
    return 0;
  }
  std::size_t count = 0;
  for (const auto& of_rig : *faults) count += of_rig.size();
  fuzz::require(faults->size() == rigs.size() && count == script->size(), "every fault strikes one rig");
  return 0;
}
