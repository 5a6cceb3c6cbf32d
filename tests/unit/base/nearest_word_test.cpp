#include "lib/base/nearest_word.h"

#include <array>

#include <doctest/doctest.h>

using namespace noonfall;

TEST_CASE("a slip finds the word meant, anything further finds none") {
  constexpr std::array<std::string_view, 4> keys{"from", "until", "every", "bracket"};
  CHECK(nearest_word("untill", keys) == "until");
  CHECK(nearest_word("form", keys) == "from");
  CHECK(nearest_word("brackett", keys) == "bracket");
  CHECK(nearest_word("shutter", keys).empty());
  CHECK(nearest_word("", keys).empty());
  CHECK(nearest_word(std::string(5000, 'x'), keys).empty());
}
