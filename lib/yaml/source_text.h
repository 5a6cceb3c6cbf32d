// The text under a YAML document: which of it may not reach the parser, what stands at a mark, and complaints
// in plain words.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "lib/base/diagnostic.h"

namespace noonfall::yaml {

/// Errors for bytes that aren't UTF-8, control characters, bare carriage returns, and tabs that indent.
/// Stops at the first byte that isn't UTF-8.
[[nodiscard]] Diagnostics unreadable_characters(std::string_view text);

/// Whether a value, its escapes resolved, is UTF-8 without control characters other than tabs and line feeds.
[[nodiscard]] bool is_plain_text(std::string_view value);

/// A place as yaml-cpp counts: from 0, columns in bytes, a byte order mark left out.
struct BytePlace {
  int line;
  int byte;
};

/// A text by lines, to find what a BytePlace means.
class SourceText {
 public:
  explicit SourceText(std::string_view text);

  /// Our mark: from 1, columns in code points. A place beyond the text gives the last line's start.
  [[nodiscard]] Mark mark_of(BytePlace place) const;

  /// The text from `place` to the end of the document; empty beyond it.
  [[nodiscard]] std::string_view from(BytePlace place) const;

 private:
  [[nodiscard]] std::size_t offset_of(BytePlace place) const;

  std::string_view text_;
  std::vector<std::size_t> line_starts_;
  std::vector<std::size_t> trail_bytes_;  // offsets of the bytes that start no code point
};

struct SyntaxWords {
  std::string message;
  std::string hint;
};

/// `complaint` is the text of a yaml-cpp exception, without its place.
[[nodiscard]] SyntaxWords in_plain_words(std::string_view complaint);

}  // namespace noonfall::yaml
