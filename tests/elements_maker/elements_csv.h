// The text of an element table, as lib/contacts reads it.
#pragma once

#include <span>
#include <string>

#include "lib/contacts/elements.h"

namespace noonfall::elements_maker {

/// The header, a row for each with ten significant digits, and last, where the header is looked for first, a
/// comment that tells what the rows were made with.
[[nodiscard]] std::string elements_csv(std::span<const contacts::Elements> table);

}  // namespace noonfall::elements_maker
