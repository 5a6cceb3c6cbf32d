// One source file as the layout rules see it: its path from the top, its lines, what it includes.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace noonfall::layers {

struct File {
  std::string path;  // from the top of the checkout, with '/'
  std::string text;
};

struct Include {
  int line = 0;
  std::string name;     // as written, without quotes or brackets
  bool quoted = false;  // "name" rather than <name>
};

[[nodiscard]] std::vector<Include> includes(const File& file);

/// The text without comments and without the insides of string and character literals, line for line: what is
/// left is code.
[[nodiscard]] std::string code_only(std::string_view text);

[[nodiscard]] std::vector<std::string> lines(std::string_view text);

}  // namespace noonfall::layers
