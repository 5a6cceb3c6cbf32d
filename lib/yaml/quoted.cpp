#include "lib/yaml/quoted.h"

#include <algorithm>
#include <array>
#include <cctype>

namespace noonfall::yaml {
namespace {

bool is_harmless(unsigned char c) {
  return std::isalnum(c) != 0 || c == ' ' || c == '_' || c == '-' || c == '.' || c == '/' || c == '+';
}

bool is_plain(std::string_view text) {
  constexpr std::array<std::string_view, 3> nothings{"null", "Null", "NULL"};
  if (text.empty() || std::isalpha(static_cast<unsigned char>(text.front())) == 0 || text.back() == ' ')
    return false;
  if (std::find(nothings.begin(), nothings.end(), text) != nothings.end()) return false;
  return std::all_of(text.begin(), text.end(), is_harmless);
}

std::string_view escape(char c) {
  switch (c) {
    case '"':
      return "\\\"";
    case '\\':
      return "\\\\";
    case '\n':
      return "\\n";
    case '\t':
      return "\\t";
    default:
      return {};
  }
}

}  // namespace

std::string quoted_if_needed(std::string_view text) {
  if (is_plain(text)) return std::string{text};
  std::string out{"\""};
  for (const char c : text) {
    const auto escaped = escape(c);
    if (escaped.empty()) {
      out += c;
    } else {
      out += escaped;
    }
  }
  return out + '"';
}

}  // namespace noonfall::yaml
