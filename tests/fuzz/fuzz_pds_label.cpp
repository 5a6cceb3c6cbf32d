// The label of an elevation image: refused with reasons and places, or an image of a size that fits it.
#include <algorithm>

#include "lib/limb/elevation_image.h"
#include "lib/limb/pds_label.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

namespace {

/// The statements once more, outside their objects, where the value's marks allow it.
std::string printed(const std::vector<limb::LabelStatement>& statements) {
  std::string text;
  for (const auto& each : statements) text += each.keyword + " = \"" + each.value + "\"\n";
  return text + "END\n";
}

void check_read_again(const std::vector<limb::LabelStatement>& statements) {
  const bool quotable = std::all_of(statements.begin(), statements.end(), [](const auto& each) {
    return each.value.find('"') == std::string::npos;
  });
  if (!quotable) return;
  const auto again = limb::parse_pds_label(printed(statements));
  fuzz::require(again.has_value() && again->size() == statements.size(), "statements printed are read again");
  for (std::size_t n = 0; n < statements.size(); ++n) {
    fuzz::require((*again)[n].keyword == statements[n].keyword && (*again)[n].value == statements[n].value,
                  "a statement keeps its keyword and value");
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto text = fuzz::text_of(data, size);
  if (const auto statements = limb::parse_pds_label(text)) check_read_again(*statements);
  const auto label = limb::parse_elevation_label(text);
  if (!label) {
    fuzz::require_explained(label.error(), text);
    return 0;
  }
  fuzz::require(label->pixels_per_degree >= 4 && label->pixels_per_degree <= 512, "a resolution is possible");
  fuzz::require(label->image_bytes() <= std::uint64_t{512} * 512 * 360 * 180 * 4, "an image has a size");
  fuzz::require(label->km_per_unit > 0 && label->reference_radius_km > 1700,
                "heights have a unit and a level");
  return 0;
}
