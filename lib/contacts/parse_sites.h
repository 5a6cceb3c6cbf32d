// Reads a list of sites for batches.
#pragma once

#include <string_view>
#include <vector>

#include "lib/base/result.h"
#include "lib/contacts/contact.h"

namespace noonfall::contacts {

/// Lowest and highest site: the Dead Sea's shore with room to spare, and an airliner's ceiling.
inline constexpr Metres lowest_site{-500};
inline constexpr Metres highest_site{20'000};

/// `text` is a CSV with the header latitude,longitude,elevation_m; degrees, north and east positive,
/// longitude -180 to 180. The elevations are handed on as heights. Every error has its line and column.
[[nodiscard]] Result<std::vector<Site>> parse_sites(std::string_view text, std::string_view file);

}  // namespace noonfall::contacts
