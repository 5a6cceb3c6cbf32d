// The text under a YAML document: which of it may not reach the parser, and what stands at a mark.
#pragma once

#include <string_view>
#include <vector>

#include "lib/base/diagnostic.h"

namespace noonfall::yaml {

/// Errors for bytes that aren't UTF-8, control characters, bare carriage returns, and tabs that indent.
/// Stops at the first byte that isn't UTF-8.
[[nodiscard]] Diagnostics unreadable_characters(std::string_view text);

/// Finds marks (1-based; columns count code points) in a text; a byte order mark has no column.
class SourceText {
 public:
  explicit SourceText(std::string_view text);

  /// The text from `mark` to the end of the document; empty beyond it.
  [[nodiscard]] std::string_view from(Mark mark) const;

  /// `mark`, or the first or last line's start when it lies before or beyond the text.
  [[nodiscard]] Mark within(Mark mark) const;

 private:
  std::string_view text_;
  std::vector<std::size_t> line_starts_;
};

}  // namespace noonfall::yaml
