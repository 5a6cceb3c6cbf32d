// The solar eclipses noonfall knows, oldest first.
#pragma once

#include <span>
#include <vector>

#include "lib/contacts/elements.h"

namespace noonfall::contacts {

/// The table the program carries: every solar eclipse from 1960 to 2060 (made by tests/elements_maker).
/// Those before leap seconds bring their own Delta T.
[[nodiscard]] std::span<const Elements> built_in_elements();

/// The eclipse with this UTC date of greatest eclipse, or nullptr.
[[nodiscard]] const Elements* find_elements(std::span<const Elements> table, Date date);

/// The dates of the `count` eclipses nearest to `date`, oldest first.
[[nodiscard]] std::vector<Date> nearest_eclipses(std::span<const Elements> table, Date date,
                                                 std::size_t count);

}  // namespace noonfall::contacts
