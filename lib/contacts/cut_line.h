// Lines on a map that ends at 180 degrees east and west.
#pragma once

#include <vector>

#include "lib/contacts/contact.h"

namespace noonfall::contacts {

/// The pieces of a line, in order. Where it crosses the antimeridian one ends and the next begins, at the
/// same latitude on either side of it (RFC 7946, 3.1.9). Neighbours are less than half a turn apart.
[[nodiscard]] std::vector<std::vector<Site>> cut_at_antimeridian(const std::vector<Site>& line);

}  // namespace noonfall::contacts
