#include "lib/yaml/typed.h"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "lib/yaml/field.h"
#include "lib/yaml/quoted.h"
#include "lib/yaml/reader.h"

using namespace noonfall;
using namespace noonfall::yaml;

namespace {

enum class Colour { red, green };
constexpr Choice<Colour> colours[] = {{"red", Colour::red}, {"green", Colour::green}};

/// The value of `v` in a text, read by `reader`, and the errors met.
template <class Reader>
auto reading(const std::string& text, Reader reader) {
  const auto source = "v: " + text + "\n";
  const auto document = read(source);
  REQUIRE(document);
  Diagnostics findings;
  MapReader map{*document, "the file", findings};
  auto value = reader(map.optional("v"));
  map.finish();
  CHECK(value.has_value() == findings.empty());
  attach_source(findings, "f", source);
  return std::pair{value, to_text(findings)};
}

/// What to_text says of one error at the value of `v`.
std::string refused(const std::string& text, const std::string& message, const std::string& wanted) {
  return "f:1:4: error: v: " + message + "\n    1 | v: " + text + "\n      |    ^\n  wanted: " + wanted +
         "\n";
}

std::optional<double> number(const Field& field) {
  return read_number(field, {-90, 90}, "degrees from -90 to 90");
}
std::optional<std::int64_t> integer(const Field& field) {
  return read_integer(field, {1, 100}, "a count from 1 to 100");
}
std::optional<double> length(const Field& field) {
  return read_quantity(field, "mm", {1, 5000}, "a length with its unit, like 600 mm");
}
std::optional<std::string> line(const Field& field) {
  return read_line(field, 5, "at most 5 characters");
}
std::optional<Colour> colour(const Field& field) {
  return read_choice(field, colours);
}

}  // namespace

TEST_CASE("values are read by their type") {
  CHECK(reading("-36.5", number).first == -36.5);
  CHECK(reading("90", number).first == 90);
  CHECK(reading("7", integer).first == 7);
  CHECK(reading("600 mm", length).first == 600);
  CHECK(reading("600mm", length).first == 600);
  CHECK(reading("'600 mm'", length).first == 600);
  CHECK(reading("0800", line).first == "0800");
  CHECK(reading("äöüßé", line).first == "äöüßé");
  CHECK(reading("green", colour).first == Colour::green);
}

TEST_CASE("numbers that could be misread are refused with the reason") {
  const std::string wanted = "degrees from -90 to 90";
  CHECK(reading("0700", number).second == refused("0700", "\"0700\" has a leading zero", wanted));
  CHECK(reading("0x10", number).second == refused("0x10", "\"0x10\" is not a plain decimal number", wanted));
  CHECK(reading("1e1", number).second == refused("1e1", "\"1e1\" is not a plain decimal number", wanted));
  CHECK(reading(".inf", number).second == refused(".inf", "\".inf\" is not a plain decimal number", wanted));
  CHECK(reading(".nan", number).second == refused(".nan", "\".nan\" is not a plain decimal number", wanted));
  CHECK(reading("1,5", number).second == refused("1,5", "\"1,5\" is not a plain decimal number", wanted));
  CHECK(reading("\"12\"", number).second ==
        refused("\"12\"", "\"12\" in quotes is a text, not a number", wanted));
  CHECK(reading("90.001", number).second == refused("90.001", "\"90.001\" is out of range", wanted));
  CHECK(reading("1.5", integer).second ==
        refused("1.5", "\"1.5\" isn't a whole number", "a count from 1 to 100"));
  CHECK(reading("0", integer).second == refused("0", "\"0\" is out of range", "a count from 1 to 100"));
}

TEST_CASE("quantities need their unit, and no other") {
  const std::string wanted = "a length with its unit, like 600 mm";
  CHECK(reading("600", length).second == refused("600", "\"600\" has no unit", wanted));
  CHECK(reading("600 cm", length).second == refused("600 cm", "\"600 cm\" isn't understood", wanted));
  CHECK(reading("mm", length).second == refused("mm", "\"mm\" is not a plain decimal number", wanted));
  CHECK(reading("0600 mm", length).second == refused("0600 mm", "\"0600 mm\" has a leading zero", wanted));
  CHECK(reading("5001 mm", length).second == refused("5001 mm", "\"5001 mm\" is out of range", wanted));
}

TEST_CASE("what isn't a text is named: nothing, an empty text, a list, a mapping") {
  const std::string wanted = "at most 5 characters";
  CHECK(reading("~", line).second == refused("~", "nothing here", wanted));
  CHECK(reading("''", line).second == refused("''", "an empty text here", wanted));
  CHECK(reading("[a]", line).second == refused("[a]", "a list here", wanted));
  CHECK(reading("{a: b}", line).second == refused("{a: b}", "a mapping here", wanted));
}

TEST_CASE("a line is short and has no line end") {
  CHECK(reading("äöüßéx", line).second ==
        refused("äöüßéx", "\"äöüßéx\" has 6 characters", "at most 5 characters"));
  CHECK(reading("\"a\\nb\"", line).second ==
        refused("\"a\\nb\"", "\"a b\" has a line end or a tab in it", "at most 5 characters"));
}

TEST_CASE("a wrong word gets the nearest one, or all of them") {
  CHECK(reading("gren", colour).second == refused("gren", "\"gren\" isn't known", "green"));
  CHECK(reading("magenta", colour).second ==
        refused("magenta", "\"magenta\" isn't known", "one of red, green"));
}

TEST_CASE("any parser of a text can read a field") {
  const auto half = [](const Field& field) {
    return read_as(
        field, [](std::string_view text) { return text == "half" ? std::optional{0.5} : std::nullopt; },
        "half");
  };
  CHECK(reading("half", half).first == 0.5);
  CHECK(reading("third", half).second == refused("third", "\"third\" isn't understood", "half"));
  CHECK(reading("0.5", half).second == refused("0.5", "\"0.5\" is a bare number", "half"));
}

TEST_CASE("a long text is cut in messages, between characters") {
  const std::string text = "x" + std::string(58, 'x') + "é" + std::string(20, 'y');
  const auto message = reading(text, colour).second;
  CHECK(message.find("\"" + std::string(59, 'x') + "…\"") != std::string::npos);
}

TEST_CASE("an absent field is nothing, without an error") {
  CHECK_FALSE(number(Field{}));
  CHECK_FALSE(line(Field{}));
  CHECK_FALSE(colour(Field{}));
  CHECK(read_list(Field{}, "a list").empty());
  CHECK(read_one_or_more(Field{}, "a list").empty());
  Field{}.error("code", "message", "hint");
}

TEST_CASE("a mapping reports what is missing and what is unknown, in one pass") {
  const std::string source = "heigth: 1\nwidth: 2\nzzz: 3\n";
  const auto document = read(source);
  Diagnostics findings;
  MapReader map{*document, "box \"a\"", findings};
  CHECK(map.required("width").mark().column == 8);
  CHECK_FALSE(map.required("height"));
  CHECK_FALSE(map.optional("depth"));
  map.finish();
  attach_source(findings, "f", source);
  CHECK(to_text(findings) ==
        "f:1:1: error: box \"a\" has no \"height\"\n    1 | heigth: 1\n      | ^\n  wanted: the key "
        "\"height\"\n"
        "f:1:1: error: box \"a\" has no key \"heigth\"\n    1 | heigth: 1\n      | ^\n  wanted: height\n"
        "f:3:1: error: box \"a\" has no key \"zzz\"\n    3 | zzz: 3\n      | ^\n"
        "  wanted: one of width, height, depth\n");
}

TEST_CASE("what isn't a mapping is one error") {
  const auto document = read("[a]");
  Diagnostics findings;
  MapReader map{*document, "box \"a\"", findings};
  CHECK_FALSE(map.required("width"));
  map.finish();
  attach_source(findings, "f", "[a]");
  CHECK(to_text(findings) ==
        "f:1:1: error: box \"a\": a list here\n    1 | [a]\n      | ^\n"
        "  wanted: a mapping, \"key: value\" on each line or {key: value, key: value}\n");
}

TEST_CASE("a list is read item by item, and one value may stand for a list of one") {
  const auto document = read("{a: [x, y], b: z, c: []}");
  Diagnostics findings;
  MapReader map{*document, "the file", findings};
  CHECK(read_list(map.optional("a"), "a list").size() == 2);
  CHECK(read_one_or_more(map.optional("a"), "a list").size() == 2);
  CHECK(read_one_or_more(map.optional("b"), "a list").size() == 1);
  CHECK(findings.empty());
  CHECK(read_list(map.optional("b"), "a list").empty());
  CHECK(read_one_or_more(map.optional("c"), "a list").empty());
  CHECK(to_text(findings) ==
        ":1:16: error: b: a text here\n  wanted: a list\n"
        ":1:22: error: c: an empty list here\n  wanted: a list\n");
}

TEST_CASE("texts are quoted only where they must be") {
  CHECK(quoted_if_needed("crescent in") == "crescent in");
  CHECK(quoted_if_needed("") == "\"\"");
  CHECK(quoted_if_needed("null") == "\"null\"");
  CHECK(quoted_if_needed("3012345") == "\"3012345\"");
  CHECK(quoted_if_needed("a: b") == "\"a: b\"");
  CHECK(quoted_if_needed("a \"b\" \\") == "\"a \\\"b\\\" \\\\\"");
}

TEST_CASE("a quoted text is read back as it was, as a value and as a key") {
  const auto piece =
      rc::gen::element<std::string>("a", "Z", "0", " ", "-", ":", "#", "'", "\"", "\\", "\n", "\t", "{", "]",
                                    ",", "&", "*", "!", "%", "@", "~", "é", "日", "null", "<<");
  const bool held = rc::check("quoted_if_needed", [&] {
    std::string text = "k";
    for (const auto& each : *rc::gen::container<std::vector<std::string>>(piece)) text += each;
    if (*rc::gen::arbitrary<bool>()) text.erase(0, 1);
    const auto document = read("{v: " + quoted_if_needed(text) + "}");
    RC_ASSERT(document.has_value());
    const auto& value = std::get<Mapping>(document->value).entries.at(0).value;
    RC_ASSERT(std::get<Scalar>(value.value).text == text);
    if (text.empty() || text.size() > 500) return;
    const auto as_key = read("  " + quoted_if_needed("k" + text) + ":\n    v: 1\n");
    RC_ASSERT(as_key.has_value());
    RC_ASSERT(std::get<Mapping>(as_key->value).entries.at(0).key == "k" + text);
  });
  CHECK(held);
}
