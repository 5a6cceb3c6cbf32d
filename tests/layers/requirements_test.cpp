// docs/requirements.md and docs/reliability.md rest on tests that are there.
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <regex>
#include <set>
#include <string>

#include <doctest/doctest.h>

#include "tests/source_folder.h"

namespace {

std::string read(const std::filesystem::path& path) {
  std::ifstream stream{path, std::ios::binary};
  return {std::istreambuf_iterator<char>{stream}, {}};
}

/// Adjacent literals as the one that they are.
std::string joined(std::string code) {
  static const std::regex between{R"("\s*\n\s*")"};
  return std::regex_replace(code, between, "");
}

const std::filesystem::path top{NOONFALL_SOURCE};

/// Each test that `text` names is in the tree; how many those are.
int check_tests_named(const std::string& text, std::map<std::string, std::string>& sources) {
  static const std::regex shown{R"re(`([^`\n]+)`: "([^"\n]+)")re"};
  int named = 0;
  for (std::sregex_iterator test{text.begin(), text.end(), shown}, end; test != end; ++test, ++named) {
    auto& source = sources[test->str(1)];
    if (source.empty()) source = joined(read(top / "tests" / test->str(1)));
    CHECK_MESSAGE(source.find("\"" + test->str(2) + "\"") != std::string::npos, test->str());
  }
  return named;
}

}  // namespace

TEST_CASE("each requirement has an id of its own and tests that are in the tree") {
  const auto page = read(top / "docs/requirements.md");
  static const std::regex row{R"(\n\| ([A-Z][0-9]+) \| [^|]+ \| ([^\n]+) \|)"};
  std::set<std::string> ids;
  std::map<std::string, std::string> sources;
  for (std::sregex_iterator it{page.begin(), page.end(), row}, end; it != end; ++it) {
    CAPTURE(it->str(1));
    CHECK(ids.insert(it->str(1)).second);
    CHECK(check_tests_named(it->str(2), sources) > 0);
  }
  CHECK(ids.size() > 25);
}

TEST_CASE("what the page on reliability says has a test of its own has it") {
  std::map<std::string, std::string> sources;
  CHECK(check_tests_named(read(top / "docs/reliability.md"), sources) > 40);
}
