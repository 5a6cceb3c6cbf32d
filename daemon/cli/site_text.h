// A site on the command line: "LAT,LON" or "LAT,LON,ELEV".
#pragma once

#include <string_view>

#include "lib/base/result.h"
#include "lib/contacts/contact.h"

namespace noonfall::cli {

/// Degrees, north and east positive; the elevation in metres, 0 when not given, is handed on as the height.
/// Errors have the code "site-text" for what isn't a site at all and "site-off-globe" for a place that isn't
/// on the Earth.
[[nodiscard]] Result<contacts::Site> parse_site(std::string_view text);

}  // namespace noonfall::cli
