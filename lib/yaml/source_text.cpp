#include "lib/yaml/source_text.h"

#include <algorithm>

#include <fmt/format.h>
#include <boost/locale/utf.hpp>

#include "lib/base/code_points.h"

namespace noonfall::yaml {
namespace {

using Utf8 = boost::locale::utf::utf_traits<char>;

bool is_control(char32_t c) {
  const bool white = c == '\t' || c == '\n' || c == '\r';
  return (c < 0x20 && !white) || (c >= 0x7F && c < 0xA0);
}

bool is_comment_or_blank(std::string_view rest_of_line) {
  const auto first = rest_of_line.find_first_not_of(" \t\r");
  return first == std::string_view::npos || rest_of_line[first] == '#' || rest_of_line[first] == '\n';
}

/// Walks a text code point by code point and notes what can't stay.
class CharacterCheck {
 public:
  Diagnostics run(std::string_view text) {
    if (text.starts_with(byte_order_mark)) text.remove_prefix(byte_order_mark.size());
    for (auto at = text.begin(); at != text.end();) {
      const auto start = at;
      const auto code_point = Utf8::decode(at, text.end());
      if (!boost::locale::utf::is_valid_codepoint(code_point)) {
        add("yaml-encoding",
            fmt::format("byte 0x{:02X} isn't UTF-8 text here", static_cast<unsigned char>(*start)),
            "a file saved as UTF-8");
        break;
      }
      check(code_point, text.substr(static_cast<std::size_t>(start - text.begin())));
    }
    return std::move(findings_);
  }

 private:
  void check(char32_t c, std::string_view rest) {
    if (c == '\t' && indenting_ && !is_comment_or_blank(rest)) {
      add("yaml-tab", "a tab indents this line", "spaces");
      indenting_ = false;
    }
    if (is_control(c)) {
      add("yaml-control-character", fmt::format("control character U+{:04X}", static_cast<unsigned>(c)),
          "plain text without it");
    }
    if (c == '\r' && !rest.starts_with("\r\n")) {
      add("yaml-control-character", "a carriage return without a line feed", "lines ended by line feeds");
    }
    if (c == '\n') {
      mark_ = {mark_.line + 1, 1};
      indenting_ = true;
      return;
    }
    ++mark_.column;
    indenting_ = indenting_ && (c == ' ' || c == '\t');
  }

  void add(std::string code, std::string message, std::string hint) {
    findings_.push_back(error_at(mark_, std::move(code), std::move(message), std::move(hint)));
  }

  Diagnostics findings_;
  Mark mark_{1, 1};
  bool indenting_ = true;  // only white space so far on this line
};

}  // namespace

Diagnostics unreadable_characters(std::string_view text) {
  return CharacterCheck{}.run(text);
}

bool is_plain_text(std::string_view value) {
  for (auto at = value.begin(); at != value.end();) {
    const auto code_point = Utf8::decode(at, value.end());
    if (!boost::locale::utf::is_valid_codepoint(code_point)) return false;
    if (is_control(code_point) || code_point == '\r') return false;
  }
  return true;
}

SourceText::SourceText(std::string_view text) : text_{text} {
  line_starts_.push_back(text.starts_with(byte_order_mark) ? byte_order_mark.size() : 0);
  for (std::size_t at = 0; at < text.size(); ++at) {
    if (text[at] == '\n') line_starts_.push_back(at + 1);
    if (Utf8::is_trail(text[at])) trail_bytes_.push_back(at);
  }
}

/// Of a line of the text; past its end where the place is.
std::size_t SourceText::offset_of(BytePlace place) const {
  return line_starts_[static_cast<std::size_t>(place.line)] +
         static_cast<std::size_t>(std::max(place.byte, 0));
}

Mark SourceText::mark_of(BytePlace place) const {
  const auto lines = static_cast<int>(line_starts_.size());
  if (place.line < 0) return {1, 1};
  if (place.line >= lines) return {lines, 1};
  const auto trail_bytes_before = [&](std::size_t offset) {
    return std::lower_bound(trail_bytes_.begin(), trail_bytes_.end(), offset);
  };
  const auto in_line = trail_bytes_before(offset_of(place)) - trail_bytes_before(offset_of({place.line, 0}));
  return {place.line + 1, std::max(place.byte, 0) + 1 - static_cast<int>(in_line)};
}

std::string_view SourceText::from(BytePlace place) const {
  if (place.line < 0 || static_cast<std::size_t>(place.line) >= line_starts_.size()) return {};
  return text_.substr(std::min(offset_of(place), text_.size()));
}

}  // namespace noonfall::yaml
