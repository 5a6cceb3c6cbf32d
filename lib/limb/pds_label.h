// PDS3 labels: the statements that describe an image of the Planetary Data System.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "lib/base/result.h"

namespace noonfall::limb {

/// One "KEYWORD = value". Numbers and words come as they stand, texts without their quotes; a unit in angle
/// brackets is apart.
struct LabelStatement {
  std::string object;   // the innermost OBJECT it stands in; empty outside
  std::string keyword;  // as written, "^IMAGE" among them
  std::string value;
  std::string unit;  // in capitals; empty for none
  Mark mark;         // of the value
  bool operator==(const LabelStatement&) const = default;
};

/// All statements up to END (PDS Standards Reference 3.8, chapter 12, as far as labels of images go). Errors
/// have the code "pds-label" and a place.
[[nodiscard]] Result<std::vector<LabelStatement>> parse_pds_label(std::string_view text);

}  // namespace noonfall::limb
