// Reads a table of Besselian elements, the built-in one or a user's.
#pragma once

#include <string_view>
#include <vector>

#include "lib/base/result.h"
#include "lib/contacts/elements.h"

namespace noonfall::contacts {

/// `text` is a CSV whose header is that of elements.csv, optionally followed by delta_t_s, k1, k2. Numbers
/// may be in scientific notation. Rows stand in the order of their dates; lines that begin with "#" are
/// comments. Every error has its line and column; `file` is the name they show.
[[nodiscard]] Result<std::vector<Elements>> parse_elements(std::string_view text, std::string_view file);

}  // namespace noonfall::contacts
