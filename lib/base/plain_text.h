// Text from outside as it may be shown: on a terminal, in a page, in a file somebody opens.
#pragma once

#include <string>
#include <string_view>

namespace noonfall {

/// One line that commands no terminal and hides nothing: what isn't UTF-8, control characters (line ends and
/// escapes among them), line separators, noncharacters, and characters without a shape (zero-width,
/// bidirectional and other format characters) are each shown as U+FFFD, a tab as a space. Variation
/// selectors, which only choose how the character before them looks, stay.
[[nodiscard]] std::string plain_line(std::string_view text);

/// The same between tags and in quoted attributes of XML and HTML.
[[nodiscard]] std::string markup_text(std::string_view text);

}  // namespace noonfall
