// The one way YAML enters: a strict subset of YAML 1.2, every refusal with its place.
#pragma once

#include <string_view>

#include "lib/base/result.h"
#include "lib/yaml/node.h"

namespace noonfall::yaml {

inline constexpr std::size_t largest_text = std::size_t{1024} * 1024;  // bytes
inline constexpr std::size_t deepest_nesting = 24;
inline constexpr std::size_t most_nodes = 100'000;
inline constexpr std::size_t most_errors = 100;  // further ones are counted, not listed

/// Reads exactly one document of UTF-8 text. Refused beside what YAML refuses: duplicate and empty keys, keys
/// that aren't texts, anchors, aliases, merge keys, tags, a second document, no document, control characters
/// (also escaped ones, except tab and newline), tabs in the indentation, and anything beyond the bounds
/// above. Errors come in order of place; a syntax error ends the reading, the others don't.
[[nodiscard]] Result<Node> read(std::string_view text);

}  // namespace noonfall::yaml
