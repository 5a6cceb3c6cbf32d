// The calls of a whole series, in order.
#pragma once

#include <vector>

#include "lib/measure/series.h"

namespace noonfall::measure {

[[nodiscard]] std::vector<Ask> series_script(const Subject& subject);

}  // namespace noonfall::measure
