// What the figures of a measured profile mean, and how sure they are, in words.
#pragma once

#include <string>
#include <vector>

#include "lib/body/description.h"
#include "lib/measure/fit.h"

namespace noonfall::measure {

[[nodiscard]] std::vector<std::string> notes_on(const Measured& measured, const body::Description& told,
                                                const FileSizes& sizes);

}  // namespace noonfall::measure
