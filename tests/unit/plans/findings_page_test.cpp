// docs/findings.md explains every code there is, and no other.
#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>

#include "tests/source_folder.h"

namespace noonfall {
namespace {

std::string read(const std::filesystem::path& path) {
  std::ifstream file{path};
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

std::set<std::string> matches(const std::string& text, const std::regex& pattern) {
  std::set<std::string> found;
  for (std::sregex_iterator match{text.begin(), text.end(), pattern}, end; match != end; ++match)
    found.insert((*match)[1]);
  return found;
}

/// Words with hyphens in quotes, in the sources that make findings, but for those that are no codes.
std::set<std::string> codes_in_sources() {
  static const std::regex quoted{R"re("([a-z]+(-[a-z]+)+)")re"};
  const std::set<std::string> no_codes{"mid-eclipse", "on-telescope"};
  std::set<std::string> codes{"shimmer", "trailing", "low-sun-shimmer", "low-sun-trailing"};
  for (const auto* folder : {"lib/plan", "lib/timeline", "lib/yaml", "daemon/load"}) {
    for (const auto& entry :
         std::filesystem::directory_iterator{std::filesystem::path{NOONFALL_SOURCE} / folder}) {
      if (entry.path().extension() != ".cpp") continue;
      for (const auto& code : matches(read(entry.path()), quoted))
        if (!no_codes.contains(code)) codes.insert(code);
    }
  }
  return codes;
}

}  // namespace

TEST_CASE("every code of a finding has its part of the page") {
  const auto explained =
      matches(read(NOONFALL_SOURCE "/docs/findings.md"), std::regex{R"(\n## ([a-z-]+)\n)"});
  REQUIRE(explained.size() > 80);
  for (const auto& code : codes_in_sources()) {
    CAPTURE(code);
    CHECK(explained.contains(code));
  }
}

}  // namespace noonfall
