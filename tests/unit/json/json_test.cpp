// JSON by one description of a value: RFC 8259 texts in, findings that name their place out.
#include <doctest/doctest.h>

#include "lib/exposure/exposure_json.h"
#include "lib/json/encodings.h"

using namespace noonfall;

namespace unit {

enum class Mood { calm, tense };
std::string_view to_text(Mood mood) {
  return mood == Mood::calm ? "calm" : "tense";
}

struct Inner {
  std::int32_t count = 0;
  std::optional<Utc> when;
  bool operator==(const Inner&) const = default;
};

void fields(auto& io, json::Like<Inner> auto& it) {
  io("count", it.count, json::Whole{1, 9});
  io.maybe("when_utc", it.when, json::utc);
}

struct Outer {
  std::string name;
  Mood mood = Mood::calm;
  std::optional<Inner> inner;
  std::vector<Inner> list;
  Duration span{};
  std::variant<std::string, std::int64_t> either;
  std::vector<exposure::Exposure> exposures;
  bool operator==(const Outer&) const = default;
};

void fields(auto& io, json::Like<Outer> auto& it) {
  io.maybe("name", it.name);
  io("mood", it.mood, json::Words{Mood::tense});
  io("inner", it.inner);
  io("list", it.list, json::List{json::tuple});
  io("span_us", it.span, json::us);
  io("either", it.either, json::Alternative<2>{{"text", "number"}});
  io("exposures", it.exposures);
}

std::string errors(std::string_view text, json::Rules rules = {.most_findings = 9}) {
  const auto read = json::read<Outer>(text, rules);
  return read ? "" : to_text(read.error());
}

constexpr Utc noon{std::chrono::sys_days{std::chrono::year{2027} / 8 / 2} + std::chrono::hours{12}};
const Outer full{"x \"y\"",
                 Mood::tense,
                 Inner{2, noon},
                 {{1, noon}, {9, {}}},
                 Duration{-5},
                 7,
                 {{{1, 1600}, exposure::FNumber{80}, {400}}, {{2, 1}, {}, {6}}}};

}  // namespace unit

using namespace unit;

TEST_CASE("members stand in the order described, what is empty left out, null or null in a list") {
  CHECK(json::to_line(json::written(full)) ==
        R"({"name":"x \"y\"","mood":"tense","inner":{"count":2,"when_utc":"2027-08-02T12:00:00.000000Z"},)"
        R"("list":[[1,"2027-08-02T12:00:00.000000Z"],[9,null]],"span_us":-5,"either":"number",)"
        R"("exposures":[{"shutter":"1/1600","aperture":"f/8","iso":400},{"shutter":"2 s","iso":6}]})"
        "\n");
  CHECK(json::to_indented(json::written(Inner{3, {}})) == "{\n  \"count\": 3\n}\n");
  CHECK(json::to_line(json::written(std::string{"\xff"})) == "\"\xEF\xBF\xBD\"\n");
}

TEST_CASE("what was written reads back, in whatever order it stands") {
  auto expected = full;
  expected.either = std::int64_t{};  // its own members would follow
  CHECK(json::read<Outer>(json::to_line(json::written(full)), {}).value() == expected);
  CHECK(json::read<Inner>(R"({"when_utc":"2027-08-02T12:00:00Z","later":[{}],"count":9})", {}).value() ==
        Inner{9, noon});
}

TEST_CASE("each finding names the place, what is there and what is wanted") {
  CHECK(errors(R"({"name":null,"mood":"cross","inner":{"count":10},"list":[[1,null],[2],[3,null,4]],)"
               R"("span_us":0.5,"either":{},"exposures":[{"shutter":"1/0","iso":"400"}]})") ==
        "error: \"name\" is null\n  wanted: a text\n"
        "error: \"mood\" is \"cross\"\n  wanted: one of \"calm\", \"tense\"\n"
        "error: \"inner.count\" is 10\n  wanted: a whole number from 1 to 9\n"
        "error: \"list[2]\" is a list of 3\n  wanted: a list of 2\n"
        "error: \"span_us\" is 0.5\n  wanted: a whole number of microseconds\n"
        "error: \"either\" is an object\n  wanted: one of \"text\", \"number\"\n"
        "error: \"exposures[0].shutter\" is \"1/0\"\n  wanted: a shutter time like \"1/500\" or \"2 s\"\n"
        "error: \"exposures[0].iso\" is \"400\"\n  wanted: a whole number from 6 to 409600\n");
  CHECK(errors(R"({"inner":7})", {}) == "error: \"mood\" is missing\n  wanted: one of \"calm\", \"tense\"\n");
  CHECK(to_text(json::read<Inner>(R"({"count":1,"cuont":2})", {.unknown = json::Unknown::refused}).error()) ==
        "error: \"cuont\" isn't known\n  wanted: only what this version writes\n");
  CHECK(to_text(json::read<Inner>("{\"count\":\"" + std::string(200, 'x') + "\"}", {}).error()) ==
        "error: \"count\" is \"" + std::string(79, 'x') + "…\n  wanted: a whole number from 1 to 9\n");
}

TEST_CASE("what is no JSON is refused where it stops being any, and what is out of bounds unread") {
  CHECK(errors("{\n  \"mood\": calm}") == ":2:11: error: not JSON\n  wanted: one JSON object\n");
  CHECK(errors("[]") == "error: not a JSON object\n  wanted: one JSON object\n");
  // 2^1024 is the first power of two beyond IEEE 754 binary64.
  CHECK(errors("{\"mood\": 1e309}") == "error: a number too large for a double\n  wanted: one JSON object\n");
  CHECK(errors("{}   ", {.most_bytes = 4}) == "error: more than 4 bytes\n  wanted: one JSON object\n");
  CHECK(errors(R"({"a":["]]]",[]]})", {.deepest = 2}) ==
        "error: nested more than 2 deep\n  wanted: one JSON object\n");
  CHECK(json::parse(R"({"a":["[[[\"[[[",{}]})", {.deepest = 3}).has_value());
  CHECK(errors(std::string(1'000'000, '['), {}) ==
        "error: nested more than 16 deep\n  wanted: one JSON object\n");
}

TEST_CASE("whole numbers keep to their type and their bounds") {
  const auto read = [](std::string_view number) {
    return json::read<Inner>(R"({"count":)" + std::string{number} + "}", {}).has_value();
  };
  CHECK(read("9"));
  for (const auto* bad : {"0", "4294967297", "-18446744073709551615", "18446744073709551615", "1e0", "true"})
    CHECK_FALSE(read(bad));
}
