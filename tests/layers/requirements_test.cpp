// docs/requirements.md rests on tests that are there.
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

}  // namespace

TEST_CASE("each requirement has an id of its own and tests that are in the tree") {
  const std::filesystem::path top{NOONFALL_SOURCE};
  const auto page = read(top / "docs/requirements.md");
  static const std::regex row{R"(\n\| ([A-Z][0-9]+) \| [^|]+ \| ([^\n]+) \|)"};
  static const std::regex shown{R"re(`([^`]+)`: "([^"]+)")re"};
  std::set<std::string> ids;
  std::map<std::string, std::string> sources;
  for (std::sregex_iterator it{page.begin(), page.end(), row}, end; it != end; ++it) {
    CAPTURE(it->str(1));
    CHECK(ids.insert(it->str(1)).second);
    const auto cell = it->str(2);
    const std::sregex_iterator first{cell.begin(), cell.end(), shown};
    CHECK(first != end);
    for (auto test = first; test != end; ++test) {
      auto& source = sources[test->str(1)];
      if (source.empty()) source = joined(read(top / "tests" / test->str(1)));
      CHECK_MESSAGE(source.find("\"" + test->str(2) + "\"") != std::string::npos, test->str());
    }
  }
  CHECK(ids.size() > 25);
}
