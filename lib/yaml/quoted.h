// A text as YAML that read() reads back to the same text.
#pragma once

#include <string>
#include <string_view>

namespace noonfall::yaml {

/// Plain where nothing about it could be misread, in lists and braces too; else in double quotes.
/// For texts without control characters other than tab and newline.
[[nodiscard]] std::string quoted_if_needed(std::string_view text);

}  // namespace noonfall::yaml
