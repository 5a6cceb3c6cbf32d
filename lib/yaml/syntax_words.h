// What the YAML parser's complaints mean to somebody who doesn't know its grammar.
#pragma once

#include <string>
#include <string_view>

namespace noonfall::yaml {

struct SyntaxWords {
  std::string message;
  std::string hint;
};

/// `complaint` is the text of a yaml-cpp exception, without its place.
[[nodiscard]] SyntaxWords in_plain_words(std::string_view complaint);

}  // namespace noonfall::yaml
