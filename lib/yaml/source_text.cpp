#include "lib/yaml/source_text.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>
#include <yaml-cpp/exceptions.h>
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

struct Wording {
  std::string_view complaint;  // how it starts
  std::string_view message;
  std::string_view hint;
};

constexpr std::string_view one_column = "the keys of one mapping, or the dashes of one list, in one column";

const std::array<Wording, 19> wordings{{
    {YAML::ErrorMsg::MAP_VALUE, "a \":\" can't stand here",
     "one key a line, in the column of its neighbours; quotes around a text with \": \" in it"},
    {YAML::ErrorMsg::MAP_KEY, "a key can't start here", one_column},
    {YAML::ErrorMsg::END_OF_MAP, "this fits neither the mapping above nor its indentation", one_column},
    {YAML::ErrorMsg::END_OF_SEQ, "this fits neither the list above nor its indentation", one_column},
    {YAML::ErrorMsg::END_OF_MAP_FLOW, "a mapping in braces that isn't closed", "a closing \"}\""},
    {YAML::ErrorMsg::END_OF_SEQ_FLOW, "a list in brackets that isn't closed", "a closing \"]\""},
    {YAML::ErrorMsg::FLOW_END, "a closing bracket without its opening one", "brackets in pairs"},
    {YAML::ErrorMsg::BLOCK_ENTRY, "a \"-\" can't start a list here", "the list on its own lines, or [a, b]"},
    {YAML::ErrorMsg::UNKNOWN_TOKEN, "a text can't start with this character", "quotes around the text"},
    {YAML::ErrorMsg::CHAR_IN_SCALAR, "this character can't stand in a text here", "quotes around the text"},
    {YAML::ErrorMsg::EOF_IN_SCALAR, "the file ends inside a text in quotes", "a closing quote"},
    {YAML::ErrorMsg::DOC_IN_SCALAR, "a document mark inside a text", "a closing quote before it"},
    {YAML::ErrorMsg::TAB_IN_INDENTATION, "a tab indents this line", "spaces"},
    {YAML::ErrorMsg::INVALID_ESCAPE, "an unknown escape in a text in double quotes",
     "\\\\ for a backslash, \\\" for a quote, or single quotes around the text"},
    {YAML::ErrorMsg::INVALID_HEX, "an escape with a bad hexadecimal number", "digits 0-9 and a-f"},
    {YAML::ErrorMsg::INVALID_UNICODE, "an escape that isn't a character", "the character itself"},
    {YAML::ErrorMsg::UNKNOWN_ANCHOR, "an alias (\"*\")", "the value written out, or quotes around the text"},
    {YAML::ErrorMsg::ALIAS_NOT_FOUND, "an alias (\"*\")", "the value written out, or quotes around the text"},
    {YAML::ErrorMsg::ANCHOR_NOT_FOUND, "an anchor (\"&\")", "the value alone, or quotes around the text"},
}};

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

SyntaxWords in_plain_words(std::string_view complaint) {
  const auto known = std::find_if(wordings.begin(), wordings.end(),
                                  [&](const Wording& w) { return complaint.starts_with(w.complaint); });
  if (known == wordings.end()) return {fmt::format("not YAML as we read it ({})", complaint), "plain YAML"};
  return {std::string{known->message}, std::string{known->hint}};
}

}  // namespace noonfall::yaml
