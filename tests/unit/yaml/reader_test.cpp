#include "lib/yaml/reader.h"

#include <algorithm>

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "tests/unit/yaml/errors_of.h"

using namespace noonfall;
using namespace noonfall::yaml;

namespace {

std::string place(Mark mark) {
  return std::to_string(mark.line) + ":" + std::to_string(mark.column);
}

/// A node in one line: scalars bare or in quotes, null as ~, each with its mark.
std::string shown(const Node& node) {
  std::string out = place(node.mark) + " ";
  if (const auto* scalar = std::get_if<Scalar>(&node.value)) {
    return out + (scalar->quoted ? "'" + scalar->text + "'" : scalar->text);
  }
  if (const auto* list = std::get_if<Sequence>(&node.value)) {
    out += "[";
    for (const auto& item : list->items) out += shown(item) + ",";
    return out + "]";
  }
  if (const auto* mapping = std::get_if<Mapping>(&node.value)) {
    out += "{";
    for (const auto& entry : mapping->entries) {
      out += place(entry.key_mark) + " " + entry.key + ": " + shown(entry.value) + ",";
    }
    return out + "}";
  }
  return out + "~";
}

std::string shown(std::string_view text) {
  const auto document = read(text);
  return document ? shown(*document) : errors_of(text);
}

}  // namespace

TEST_CASE("a document is read as it was written, each value with its place") {
  CHECK(shown("a: 1\nb:\n  - x y\n  - {c: 'q', d: \"r\"}\n") ==
        "1:1 {1:1 a: 1:4 1,2:1 b: 3:3 [3:5 x y,4:5 {4:6 c: 4:9 'q',4:14 d: 4:17 'r',},],}");
}

TEST_CASE("nothing is converted: octals, words of truth and times stay texts") {
  CHECK(shown("[0700, 0x10, no, 1:30, 1/125, 1e3, .inf]") ==
        "1:1 [1:2 0700,1:8 0x10,1:14 no,1:18 1:30,1:24 1/125,1:31 1e3,1:36 .inf,]");
}

TEST_CASE("null and a value left out are nothing, and marked at their key when left out") {
  CHECK(shown("a:\nb: ~\nc: null\nd: 'null'\ne:\n") ==
        "1:1 {1:1 a: 1:1 ~,2:1 b: 2:4 ~,3:1 c: 3:4 ~,4:1 d: 4:4 'null',5:1 e: 5:1 ~,}");
}

TEST_CASE(
    "columns count characters, not bytes, and neither a byte order mark nor carriage returns shift them") {
  CHECK(shown("\xEF\xBB\xBF"
              "é: ü x\r\nb: {ä: 1, c: 2}\r\n") ==
        "1:1 {1:1 é: 1:4 ü x,2:1 b: 2:4 {2:5 ä: 2:8 1,2:11 c: 2:14 2,},}");
}

TEST_CASE("a long line with many texts is read in one go") {
  std::string text = "[";
  for (std::size_t n = 0; n < 90'000; ++n) text += "'é',";
  const auto document = read(text + "x]");
  REQUIRE(document);
  CHECK(place(std::get<Sequence>(document->value).items.back().mark) == "1:360002");
}

TEST_CASE("block texts are texts in quotes, their ends as YAML says") {
  CHECK(shown("a: |\n  x\n  y\nb: >-\n  x\n  y\n") == "1:1 {1:1 a: 1:4 'x\ny\n',4:1 b: 4:4 'x y',}");
}

TEST_CASE("comments, a document start and a document end are no content") {
  CHECK(shown("# first\n---\na: 1  # why\n...\n") == "3:1 {3:1 a: 3:4 1,}");
}

TEST_CASE("each refusal shows its place, what was found and what is wanted") {
  struct Case {
    const char* text;
    const char* errors;
  };
  const Case cases[] = {
      {"a: 1\n\"a\": 2\n",
       "f.yaml:2:1: error: key \"a\" for the second time, first in line 1\n"
       "    2 | \"a\": 2\n      | ^\n  wanted: each key once\n"},
      {"a: &x 1\n",
       "f.yaml:1:4: error: an anchor (\"&x\")\n    1 | a: &x 1\n      |    ^\n"
       "  wanted: the value alone, or quotes around the text\n"},
      {"a: *x\n",
       "f.yaml:1:4: error: an alias (\"*\")\n    1 | a: *x\n      |    ^\n"
       "  wanted: the value written out, or quotes around the text\n"},
      {"<<: {a: 1}\n",
       "f.yaml:1:1: error: a merge key (\"<<\")\n    1 | <<: {a: 1}\n      | ^\n  wanted: the keys written "
       "out\n"},
      {"a: !!str 1\n",
       "f.yaml:1:4: error: a tag (\"!\")\n    1 | a: !!str 1\n      |    ^\n"
       "  wanted: the value alone, or quotes around the text\n"},
      {"a: ! x\n",
       "f.yaml:1:4: error: a tag (\"!\")\n    1 | a: ! x\n      |    ^\n"
       "  wanted: the value alone, or quotes around the text\n"},
      {"a: 1\n---\nb: 2\n",
       "f.yaml:2:1: error: a second document starts here\n    2 | ---\n      | ^\n"
       "  wanted: one document a file; the entries of one list or mapping stand in one column\n"},
      {"- a\nb: 1\n",
       "f.yaml:2:1: error: a second document starts here\n    2 | b: 1\n      | ^\n"
       "  wanted: one document a file; the entries of one list or mapping stand in one column\n"},
      {"", "f.yaml:1:1: error: the file is empty\n  wanted: a document\n"},
      {"# nothing\n",
       "f.yaml:1:1: error: the file is empty\n    1 | # nothing\n      | ^\n  wanted: a document\n"},
      {"a: 1\nb: x\xFFy\n",
       "f.yaml:2:5: error: byte 0xFF isn't UTF-8 text here\n    2 | b: x\uFFFDy\n      |     ^\n"
       "  wanted: a file saved as UTF-8\n"},
      {"a: \xED\xA0\x80\n",
       "f.yaml:1:4: error: byte 0xED isn't UTF-8 text here\n    1 | a: \uFFFD\uFFFD\uFFFD\n      |    ^\n"
       "  wanted: a file saved as UTF-8\n"},
      {"a: \xC0\xAF\n",
       "f.yaml:1:4: error: byte 0xC0 isn't UTF-8 text here\n    1 | a: \uFFFD\uFFFD\n      |    ^\n"
       "  wanted: a file saved as UTF-8\n"},
      {"a: x\x01y\n",
       "f.yaml:1:5: error: control character U+0001\n    1 | a: x\uFFFDy\n      |     ^\n"
       "  wanted: plain text without it\n"},
      {"a: 1\rb: 2\n",
       "f.yaml:1:5: error: a carriage return without a line feed\n    1 | a: 1\uFFFDb: 2\n      |     ^\n"
       "  wanted: lines ended by line feeds\n"},
      {"a: \"x\\u009b\"\n",
       "f.yaml:1:4: error: a control character written as an escape\n    1 | a: \"x\\u009b\"\n      |    ^\n"
       "  wanted: plain text without it\n"},
      {"a: \"x\\N\"\n",
       "f.yaml:1:4: error: a control character written as an escape\n    1 | a: \"x\\N\"\n      |    ^\n"
       "  wanted: plain text without it\n"},
      {"a: \"x\\0\"\n",
       "f.yaml:1:4: error: a control character written as an escape\n    1 | a: \"x\\0\"\n      |    ^\n"
       "  wanted: plain text without it\n"},
      {"[a]: 1\n",
       "f.yaml:1:1: error: a list as a key\n    1 | [a]: 1\n      | ^\n  wanted: a text as the key\n"},
      {"{{a: 1}: 1}\n",
       "f.yaml:1:2: error: a mapping as a key\n    1 | {{a: 1}: 1}\n      |  ^\n  wanted: a text as the "
       "key\n"},
      {": 1\n", "f.yaml:1:1: error: an empty key\n    1 | : 1\n      | ^\n  wanted: a word\n"},
      {"a:\n\tb: 1\n",
       "f.yaml:2:1: error: a tab indents this line\n    2 |  b: 1\n      | ^\n  wanted: spaces\n"},
      {"a: b: c\n",
       "f.yaml:1:5: error: a \":\" can't stand here\n    1 | a: b: c\n      |     ^\n"
       "  wanted: one key a line, in the column of its neighbours; quotes around a text with \": \" in it\n"},
      {"a:\n    b: 1\n  c: 2\n",
       "f.yaml:3:3: error: this fits neither the mapping above nor its indentation\n    3 |   c: 2\n      |  "
       " ^\n"
       "  wanted: the keys of one mapping, or the dashes of one list, in one column\n"},
      {"- - 1\n  b: 2\n",
       "f.yaml:2:3: error: this fits neither the list above nor its indentation\n    2 |   b: 2\n      |   "
       "^\n"
       "  wanted: the keys of one mapping, or the dashes of one list, in one column\n"},
      {"a: {b: 1\nc: 2\n",
       "f.yaml:1:4: error: a mapping in braces that isn't closed\n    1 | a: {b: 1\n      |    ^\n"
       "  wanted: a closing \"}\"\n"},
      {"a: [1, 2\nb: 3\n",
       "f.yaml:1:4: error: a list in brackets that isn't closed\n    1 | a: [1, 2\n      |    ^\n"
       "  wanted: a closing \"]\"\n"},
      {"a: ]\n",
       "f.yaml:1:4: error: a closing bracket without its opening one\n    1 | a: ]\n      |    ^\n"
       "  wanted: brackets in pairs\n"},
      {"a: - b\n",
       "f.yaml:1:4: error: a \"-\" can't start a list here\n    1 | a: - b\n      |    ^\n"
       "  wanted: the list on its own lines, or [a, b]\n"},
      {"a: @x\n",
       "f.yaml:1:4: error: a text can't start with this character\n    1 | a: @x\n      |    ^\n"
       "  wanted: quotes around the text\n"},
      {"a: \"\\q\"\n",
       "f.yaml:1:7: error: an unknown escape in a text in double quotes\n    1 | a: \"\\q\"\n      |       "
       "^\n"
       "  wanted: \\\\ for a backslash, \\\" for a quote, or single quotes around the text\n"},
      {"a: \"\\xzz\"\n",
       "f.yaml:1:9: error: an escape with a bad hexadecimal number\n    1 | a: \"\\xzz\"\n      |         ^\n"
       "  wanted: digits 0-9 and a-f\n"},
      {"a: \"\\ud800\"\n",
       "f.yaml:1:11: error: an escape that isn't a character\n    1 | a: \"\\ud800\"\n      |           ^\n"
       "  wanted: the character itself\n"},
  };
  for (const auto& [text, errors] : cases) {
    CHECK(errors_of(text) == std::string{errors});
  }
}

TEST_CASE("a text in quotes that never ends is shown where it starts, with or without a last line end") {
  // yaml-cpp 0.7 takes the rest of a file that ends in a line end for the text, without a word.
  const std::string shown_there =
      "f.yaml:2:4: error: a text in quotes that never ends\n    2 | b: \"it''s\n      |    ^\n"
      "  wanted: a closing quote\n";
  CHECK(errors_of("a: 1\nb: \"it''s\nc: 2\n") == shown_there);
  CHECK(errors_of("a: 1\nb: \"it''s") == shown_there);
  CHECK(shown("b: 'it''s'\n") == "1:1 {1:1 b: 1:4 'it's',}");
  CHECK(shown("b: \"a \\\" b\"\n") == "1:1 {1:1 b: 1:4 'a \" b',}");
}

TEST_CASE("errors that don't end the reading come out together, in order of place") {
  CHECK(errors_of("a: &x 1\nb: 1\nb: !t 2\nc: [*x]\n") ==
        "f.yaml:1:4: error: an anchor (\"&x\")\n    1 | a: &x 1\n      |    ^\n"
        "  wanted: the value alone, or quotes around the text\n"
        "f.yaml:3:1: error: key \"b\" for the second time, first in line 2\n    3 | b: !t 2\n      | ^\n"
        "  wanted: each key once\n"
        "f.yaml:3:4: error: a tag (\"!\")\n    3 | b: !t 2\n      |    ^\n"
        "  wanted: the value alone, or quotes around the text\n"
        "f.yaml:4:5: error: an alias (\"*\")\n    4 | c: [*x]\n      |     ^\n"
        "  wanted: the value written out, or quotes around the text\n");
}

TEST_CASE("nesting is taken to its bound and refused beyond") {
  const auto nested = [](std::size_t depth) { return std::string(depth, '{') + std::string(depth, '}'); };
  std::string deepest;
  for (std::size_t n = 1; n < deepest_nesting; ++n) deepest += "{a: ";
  CHECK(read(deepest + "[]" + std::string(deepest_nesting - 1, '}')));
  CHECK_FALSE(read(deepest + "[[]]" + std::string(deepest_nesting - 1, '}')));
  CHECK(errors_of("- " + deepest + "[1]" + std::string(deepest_nesting - 1, '}'))
            .find("lists and mappings nested deeper than 24\n") != std::string::npos);
  CHECK_FALSE(read(nested(100'000)));
}

TEST_CASE("size is taken to its bound and refused beyond") {
  CHECK(read("a: " + std::string(largest_text - 3, 'x')));
  CHECK(errors_of("a: " + std::string(largest_text - 2, 'x'))
            .starts_with("f.yaml:1:1: error: the file has 1048577 bytes\n"));
}

TEST_CASE("the number of values is bounded") {
  const auto values = [](std::size_t count) {
    std::string text = "[";
    for (std::size_t n = 0; n < count; ++n) text += "a,";
    return text + "]";
  };
  CHECK(read(values(most_nodes - 1)));  // the list is one more
  CHECK(errors_of(values(most_nodes + 1)).find("more than 100000 values\n") != std::string::npos);
}

TEST_CASE("of very many errors the first hundred are told") {
  std::string text = "a: 1\n";
  for (int n = 0; n < 200; ++n) text += "a: 1\n";
  const auto document = read(text);
  REQUIRE_FALSE(document);
  CHECK(document.error().size() == most_errors);
}

TEST_CASE("any bytes are read or refused with places inside them") {
  const auto piece = rc::gen::element<std::string>(
      "a", "b: ", "\n", "  ", "- ", "[", "]", "{", "}", "\"", "'", "&a", "*a", "!t ", "|\n", "#", "? ", ": ",
      "---\n", "\t", "\r", "\xC3", "é", "<<", "%", "\\", ",", std::string(1, '\0'), "\xEF\xBB\xBF");
  const bool held = rc::check("yaml::read", [&] {
    const auto pieces = *rc::gen::container<std::vector<std::string>>(piece);
    std::string text;
    for (const auto& each : pieces) text += each;
    const auto document = read(text);
    if (document) return;
    const auto lines = std::count(text.begin(), text.end(), '\n') + 1;
    RC_ASSERT(!document.error().empty());
    for (const auto& finding : document.error()) {
      RC_ASSERT(finding.mark.line >= 1 && finding.mark.line <= lines && finding.mark.column >= 1);
      RC_ASSERT(!finding.code.empty() && !finding.message.empty() && !finding.hint.empty());
    }
  });
  CHECK(held);
}
