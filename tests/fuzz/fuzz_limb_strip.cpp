// A file of lunar heights: whatever it holds, a strip comes out whole, with an edge that can be seen, or not
// at all; and any heights survive being written.
#include <cmath>
#include <cstring>

#include "lib/limb/sky_view.h"
#include "lib/limb/strip.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

namespace {

void check_edge(const limb::Strip& strip) {
  for (const double longitude : {-8.0, 0.0, 8.0}) {
    for (const double tangent : limb::edge_tangents(strip, {{longitude}, {-7}, 370'000}, {0, 1.5, 3, 4.5})) {
      fuzz::require(std::isfinite(tangent) && tangent > 0, "the edge stands out everywhere");
    }
  }
}

void check_written(const limb::Strip& strip) {
  const auto read = limb::parse_strip(limb::to_bytes(strip));
  fuzz::require(read && *read == strip, "a strip written is read as it was");
}

/// The bytes as heights of a strip that is otherwise sound.
limb::Strip heights_of(std::string_view bytes) {
  limb::Strip strip{90, 7, 4, 74, 4.1, 1e-4, 1737.4, std::vector<std::int16_t>(std::size_t{90} * 7)};
  std::memcpy(strip.cells.data(), bytes.data(), std::min(bytes.size(), strip.cells.size() * 2));
  return strip;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto bytes = fuzz::text_of(data, size);
  if (size > 0) check_written(heights_of(bytes));
  const auto strip = limb::parse_strip(bytes);
  if (!strip) {
    fuzz::require(strip.error().size() == 1, "a refusal has one reason");
    fuzz::require(!strip.error()[0].message.empty() && !strip.error()[0].hint.empty(),
                  "it says what and what for");
    return 0;
  }
  fuzz::require(limb::why_no_strip(*strip).empty(), "what is read is a strip");
  fuzz::require(strip->cells.size() == std::size_t{strip->n_phi} * strip->n_c, "all its heights are there");
  check_written(*strip);
  check_edge(*strip);
  return 0;
}
