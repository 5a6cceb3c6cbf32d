// A user's table of elements. Whatever it holds, contacts come out ordered or not at all.
#include <algorithm>
#include <cmath>

#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

namespace {

void check_order(const contacts::Circumstances& sky) {
  fuzz::require(std::isfinite(sky.magnitude) && std::isfinite(sky.obscuration), "figures are finite");
  std::optional<Utc> before;
  for (const auto& contact : sky.contacts) {
    if (!contact) continue;
    fuzz::require(std::isfinite(contact->altitude.value), "an altitude is finite");
    fuzz::require(!before || *before <= contact->utc, "contacts follow each other");
    before = contact->utc;
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto text = fuzz::text_of(data, size);
  const auto table = contacts::parse_elements(text, "elements.csv");
  if (!table) {
    fuzz::require_explained(table.error(), text);
    return 0;
  }
  fuzz::require(std::is_sorted(table->begin(), table->end(),
                               [](const auto& a, const auto& b) { return a.date < b.date; }),
                "rows stand in the order of their dates");
  for (const auto& elements : *table) {
    check_order(contacts::circumstances(elements, {{36.0139}, {-5.6033}, {12}}));
  }
  return 0;
}
