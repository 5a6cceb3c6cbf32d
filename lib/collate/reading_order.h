// What the readings of one camera's clock tell beside the time: the order of its names, and how fine it is.
#pragma once

#include <vector>

#include "lib/collate/pairing.h"
#include "lib/collate/photo.h"

namespace noonfall::collate {

/// By clock and, within one of its readings, by name: where 9999 was followed by 0001 the low numbers are
/// later.
void sort_by_clock_and_name(std::vector<Reading>& readings, const std::vector<Photo>& photos);

/// Names nearly always rise with the time, as readings that are sorted show.
[[nodiscard]] bool in_order(const std::vector<Reading>& readings, const std::vector<Photo>& photos);

/// Some bodies write the same fraction always: their clock has no more than seconds.
[[nodiscard]] bool fraction_never_changes(const std::vector<Reading>& readings);

}  // namespace noonfall::collate
