#include "lib/base/diagnostic.h"

#include <doctest/doctest.h>

using namespace noonfall;

TEST_CASE("a finding shows its place, the line, a caret and what is wanted") {
  Diagnostics found{error_at({2, 3}, "unknown-key", "unknown key \"untill\"", "until")};
  attach_source(found, "plan.yaml", "steps:\n  untill: C2\r\nend\n");
  CHECK(to_text(found) ==
        "plan.yaml:2:3: error: unknown key \"untill\"\n"
        "    2 |   untill: C2\n"
        "      |   ^\n"
        "  wanted: until\n");
}

TEST_CASE("the same words at another place are another finding") {
  CHECK(error_at({2, 7}, "code", "words") == error_at({2, 7}, "code", "words"));
  CHECK(error_at({2, 7}, "code", "words") != error_at({2, 8}, "code", "words"));
  CHECK(error_at({2, 7}, "code", "words") != error_at({3, 7}, "code", "words"));
}

TEST_CASE("a finding without a place has no line") {
  CHECK(to_text(warning_at({}, "w", "no sound", "")) == "warning: no sound\n");
}

TEST_CASE("columns count code points and a tab is shown as a space") {
  Diagnostics found{error_at({1, 4}, "x", "here")};
  attach_source(found, "f", "é\té!");
  CHECK(to_text(found) == "f:1:4: error: here\n    1 | é é!\n      |    ^\n");
}

TEST_CASE("a very long line is cut around the mark") {
  Diagnostics found{error_at({1, 5000}, "x", "here")};
  attach_source(found, "f", std::string(4999, 'a') + "b" + std::string(4999, 'c'));
  const auto text = to_text(found);
  CHECK(text.size() < 400);
  CHECK(text.find('b') != std::string::npos);
}

TEST_CASE("a mark beyond the text is left without a line") {
  Diagnostics found{error_at({9, 1}, "x", "here")};
  attach_source(found, "f", "one\n");
  CHECK(to_text(found) == "f:9:1: error: here\n");
}

TEST_CASE("only errors count as errors") {
  CHECK_FALSE(has_errors({warning_at({}, "w", "m")}));
  CHECK(has_errors({warning_at({}, "w", "m"), error_at({}, "e", "m")}));
}

TEST_CASE("findings are put in order of place, and of many only the first are kept") {
  const auto at = [](int line, int column, const char* message) {
    return error_at({line, column}, "x", message, "y");
  };
  const auto sorted = first_by_place({at(3, 1, "d"), at(1, 9, "b"), at(1, 2, "a"), at(1, 9, "c")}, 4);
  CHECK(to_text(sorted) ==
        ":1:2: error: a\n  wanted: y\n"
        ":1:9: error: b\n  wanted: y\n"
        ":1:9: error: c\n  wanted: y\n"
        ":3:1: error: d\n  wanted: y\n");
  CHECK(to_text(first_by_place(sorted, 2)) ==
        ":1:2: error: a\n  wanted: y\n"
        ":1:9: error: b\n  wanted: y\n"
        ":1:9: error: from here on, 2 more errors aren't shown\n  wanted: the errors above mended first\n");
}

TEST_CASE("a byte order mark isn't part of the line it stands before") {
  Diagnostics found{error_at({1, 2}, "x", "here")};
  attach_source(found, "f",
                "\xEF\xBB\xBF"
                "abc\n");
  CHECK(to_text(found) == "f:1:2: error: here\n    1 | abc\n      |  ^\n");
}

TEST_CASE("what was found can't command the terminal") {
  CHECK(to_text(error_at({}, "column", "column 1 is \"\x1b[2J\x07\"")) ==
        "error: column 1 is \"\uFFFD[2J\uFFFD\"\n");
}
