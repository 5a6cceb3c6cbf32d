#include "tests/layers/source_text.h"

#include <algorithm>
#include <cctype>
#include <regex>

namespace noonfall::layers {
namespace {

/// Where a raw string that starts at `at` (its R") ends, just behind its last quote.
std::size_t raw_string_end(std::string_view text, std::size_t at) {
  const auto open = text.find('(', at);
  if (open == std::string_view::npos) return text.size();
  const auto closing = ")" + std::string{text.substr(at + 2, open - at - 2)} + "\"";
  const auto close = text.find(closing, open);
  return close == std::string_view::npos ? text.size() : close + closing.size();
}

/// Where the literal whose opening quote is at `at` ends.
std::size_t literal_end(std::string_view text, std::size_t at) {
  const char quote = text[at];
  for (auto i = at + 1; i < text.size(); ++i) {
    if (text[i] == '\\') {
      ++i;
    } else if (text[i] == quote || text[i] == '\n') {
      return i + 1;
    }
  }
  return text.size();
}

bool is_digit_separator(std::string_view text, std::size_t at) {
  return at > 0 && std::isalnum(static_cast<unsigned char>(text[at - 1])) != 0;
}

/// The end of what starts at `at` and isn't code; `at` itself when it is code.
std::size_t skip_from(std::string_view text, std::size_t at) {
  const auto rest = text.substr(at);
  if (rest.starts_with("//")) return std::min(text.find('\n', at), text.size());
  if (rest.starts_with("/*")) {
    const auto close = text.find("*/", at + 2);
    return close == std::string_view::npos ? text.size() : close + 2;
  }
  if (rest.starts_with("R\"")) return raw_string_end(text, at);
  if (rest.starts_with('"')) return literal_end(text, at);
  if (rest.starts_with('\'') && !is_digit_separator(text, at)) return literal_end(text, at);
  return at;
}

}  // namespace

std::vector<std::string> lines(std::string_view text) {
  std::vector<std::string> result;
  while (!text.empty()) {
    const auto end = std::min(text.find('\n'), text.size());
    result.emplace_back(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return result;
}

std::string code_only(std::string_view text) {
  std::string code;
  for (std::size_t at = 0; at < text.size();) {
    const auto end = skip_from(text, at);
    if (end == at) {
      code += text[at++];
      continue;
    }
    for (; at < end; ++at) code += text[at] == '\n' ? '\n' : ' ';
  }
  return code;
}

std::vector<Include> includes(const File& file) {
  static const std::regex pattern{R"re(^\s*#\s*include\s*([<"])([^>"]+)[>"])re"};
  std::vector<Include> found;
  int number = 0;
  for (const auto& line : lines(file.text)) {
    ++number;
    std::smatch match;
    if (std::regex_search(line, match, pattern)) found.push_back({number, match[2], match[1] == "\""});
  }
  return found;
}

}  // namespace noonfall::layers
