// Text measured and cut by the columns a terminal gives it.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace noonfall::status {

/// Two for the wide characters of East Asia and for pictures (Unicode TR11, by blocks), one for any other.
[[nodiscard]] std::size_t columns(std::string_view text);

/// `text`, or its beginning and "…", in at most `width` columns.
[[nodiscard]] std::string fitted(std::string_view text, std::size_t width);

/// Fitted and filled up with spaces to exactly `width` columns.
[[nodiscard]] std::string padded(std::string_view text, std::size_t width);

/// `left` and `right` at the two ends of a line, at least two spaces between them; `left` gives way.
[[nodiscard]] std::string spread(std::string_view left, std::string_view right, std::size_t width);

}  // namespace noonfall::status
