// The list of sites for a batch.
#include <cmath>

#include "lib/contacts/parse_sites.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto text = fuzz::text_of(data, size);
  const auto sites = contacts::parse_sites(text, "sites.csv");
  if (!sites) {
    fuzz::require_explained(sites.error(), text);
    return 0;
  }
  for (const auto& site : *sites) {
    fuzz::require(std::abs(site.latitude.value) <= 90 && std::abs(site.longitude.value) <= 180,
                  "a site is on Earth");
    fuzz::require(site.height >= contacts::lowest_site && site.height <= contacts::highest_site,
                  "a site is where one can stand or fly");
  }
  return 0;
}
