// The keys of a plan: docs/plan.schema.json and docs/plan-format.md have those that the parser knows, and no
// other. The parser is asked itself: it lists its keys where it finds one that is like none of them.
#include <algorithm>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "lib/plan/parse.h"
#include "tests/source_folder.h"

namespace noonfall {
namespace {

using Keys = std::set<std::string>;

std::string read(const std::string& path) {
  std::ostringstream text;
  text << std::ifstream{path}.rdbuf();
  return text.str();
}

/// `qqqqqqqq: 1` stands in one mapping of it.
Keys known_where_q_stands(const std::string& plan) {
  const auto parsed = plan::parse(plan);
  REQUIRE_FALSE(parsed);
  for (const auto& finding : parsed.error()) {
    if (finding.code != "unknown-key") continue;
    Keys keys;
    static const std::regex word{"[a-z][a-z0-9_]*"};
    const auto list = finding.hint.starts_with("one of ") ? finding.hint.substr(7) : finding.hint;
    for (std::sregex_iterator match{list.begin(), list.end(), word}, end; match != end; ++match)
      keys.insert(match->str());
    return keys;
  }
  FAIL("no unknown key was found in ", plan);
  return {};
}

Keys root_keys() {
  return known_where_q_stands("noonfall: 1\nqqqqqqqq: 1\n");
}
Keys keys_under(const std::string& key) {
  return known_where_q_stands("noonfall: 1\n" + key + ": {qqqqqqqq: 1}\n");
}
Keys rig_keys(const std::string& rig) {
  return known_where_q_stands("noonfall: 1\nrigs: {long: {" + rig + "}}\n");
}
Keys step_keys(const std::string& step) {
  return known_where_q_stands("noonfall: 1\nsteps: [{" + step + "}]\n");
}
Keys joined(Keys one, const Keys& other) {
  one.insert(other.begin(), other.end());
  return one;
}
Keys less(Keys all, const Keys& without) {
  for (const auto& key : without) all.erase(key);
  return all;
}

/// Of a definition, or of those of its forms that are mappings.
Keys keys_of(const nlohmann::json& schema) {
  Keys keys;
  if (schema.contains("properties"))
    for (const auto& [key, value] : schema["properties"].items()) {
      std::istringstream words{key};  // as a list of keys has them: "in body" is two
      for (std::string word; words >> word;) keys.insert(word);
    }
  if (schema.contains("oneOf") && !schema.contains("properties"))
    for (const auto& form : schema["oneOf"]) keys = joined(std::move(keys), keys_of(form));
  return keys;
}

struct Mapping {
  std::string definition;  // of the schema
  std::string heading;     // of the page
  Keys keys;               // of the parser
};

std::vector<Mapping> mappings() {
  const Keys other_steps{"hands", "mirror"};
  const auto bracket = step_keys("bracket: {qqqqqqqq: 1}");
  return {
      {"site", "### `site`", keys_under("site")},
      {"earth", "## The plan", keys_under("earth")},
      {"sky", "## The plan", keys_under("sky")},
      {"rig", "### A rig", rig_keys("qqqqqqqq: 1")},
      {"body", "### A rig",
       joined(rig_keys("body: {simulate: a, qqqqqqqq: 1}"),
              rig_keys("body: {serial: '1', profile: a, qqqqqqqq: 1}"))},
      {"lens", "### A rig", rig_keys("lens: {qqqqqqqq: 1}")},
      {"sensor", "### A rig", rig_keys("sensor: {qqqqqqqq: 1}")},
      {"exposure", "### A rig", rig_keys("exposure: {qqqqqqqq: 1}")},
      {"filter", "#### `filter`", rig_keys("filter: {qqqqqqqq: 1}")},
      {"shooting", "### A step that shoots", less(step_keys("qqqqqqqq: 1"), other_steps)},
      {"bracket", "### A step that shoots", bracket},
      {"set", "### A step that shoots", step_keys("sets: [{qqqqqqqq: 1}]")},
      {"hands_on", "### A step that asks for hands", step_keys("hands: all, qqqqqqqq: 1")},
      {"mirror", "### A step that mirrors another", step_keys("mirror: other, qqqqqqqq: 1")},
      {"cue", "### Cues", known_where_q_stands("noonfall: 1\ncues: [{qqqqqqqq: 1}]\n")},
  };
}

std::string part_of(const std::string& page, const std::string& heading) {
  const auto at = page.find("\n" + heading + "\n");
  REQUIRE_MESSAGE(at != std::string::npos, heading);
  const auto next = page.find("\n#", at + heading.size() + 1);
  return page.substr(at, next - at);
}

/// Words of all code in a part of a page.
Keys words_in_code(const std::string& part) {
  static const std::regex code{"`[^`]+`|```[^`]+```"};
  static const std::regex word{"[a-z][a-z0-9_]*"};
  Keys words;
  for (std::sregex_iterator found{part.begin(), part.end(), code}, end; found != end; ++found) {
    const auto text = found->str();
    for (std::sregex_iterator match{text.begin(), text.end(), word}; match != end; ++match)
      words.insert(match->str());
  }
  return words;
}

/// What stands alone in the first column of a part's tables of keys.
Keys first_column(const std::string& part) {
  static const std::regex row{"\n\\| ((?:`[a-z_0-9]+`(?:, | or )?)+) \\|"};
  Keys keys;
  for (std::sregex_iterator match{part.begin(), part.end(), row}, end; match != end; ++match)
    keys = joined(std::move(keys), words_in_code((*match)[1]));
  return keys;
}

}  // namespace

TEST_CASE("the schema has the parser's keys, in every mapping of a plan") {
  const auto schema = nlohmann::json::parse(read(NOONFALL_SOURCE "/docs/plan.schema.json"));
  CHECK(keys_of(schema) == root_keys());
  for (const auto& [definition, heading, keys] : mappings()) {
    CAPTURE(definition);
    CHECK(keys.size() >= 1);
    CHECK(keys_of(schema["definitions"][definition]) == keys);
  }
}

TEST_CASE("the page on the format names the parser's keys, each where it belongs, and no other") {
  const auto page = read(NOONFALL_SOURCE "/docs/plan-format.md");
  auto known = root_keys();
  for (const auto& [definition, heading, keys] : mappings()) {
    CAPTURE(definition);
    const auto words = words_in_code(part_of(page, heading));
    for (const auto& key : keys) {
      CAPTURE(key);
      // What every kind of step has is told with the first.
      CHECK((words.contains(key) || key == "name" || key == "only_if"));
    }
    known = joined(std::move(known), keys);
  }
  for (const auto& key : root_keys()) CHECK(words_in_code(part_of(page, "## The plan")).contains(key));
  for (const auto* heading :
       {"## The plan", "### `site`", "### A rig", "#### `filter`", "### A step that shoots"}) {
    const auto column = first_column(part_of(page, heading));
    CAPTURE(heading);
    CHECK(column.size() >= 4);
    for (const auto& key : column) {
      CAPTURE(key);
      CHECK(known.contains(key));
    }
  }
}

}  // namespace noonfall
