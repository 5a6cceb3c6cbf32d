// The rules, applied to this checkout.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>

#include <doctest/doctest.h>

#include "tests/layers/rules.h"
#include "tests/source_folder.h"

using namespace noonfall::layers;
namespace fs = std::filesystem;

namespace {

const fs::path top{NOONFALL_SOURCE};

/// Every file under the named folders of the checkout whose name ends as asked, in a fixed order.
std::vector<File> files_of(std::initializer_list<const char*> folders,
                           std::initializer_list<const char*> extensions) {
  std::vector<File> files;
  for (const auto* folder : folders) {
    if (!fs::exists(top / folder)) continue;
    for (const auto& entry : fs::recursive_directory_iterator{top / folder}) {
      const auto extension = entry.path().extension();
      if (!entry.is_regular_file() ||
          std::find(extensions.begin(), extensions.end(), extension) == extensions.end()) {
        continue;
      }
      std::ifstream stream{entry.path(), std::ios::binary};
      files.push_back({entry.path().lexically_relative(top).generic_string(),
                       {std::istreambuf_iterator<char>{stream}, {}}});
    }
  }
  std::sort(files.begin(), files.end(), [](const File& a, const File& b) { return a.path < b.path; });
  return files;
}

const std::vector<File>& code() {
  static const auto files = files_of({"lib", "sim", "daemon"}, {".h", ".cpp"});
  return files;
}

const std::vector<File>& code_and_tests() {
  static const auto files = files_of({"lib", "sim", "daemon", "tests"}, {".h", ".cpp"});
  return files;
}

/// Every finding of `rule`, one a line.
std::string findings(const std::vector<File>& files, Findings (*rule)(const File&)) {
  REQUIRE_FALSE(files.empty());
  std::string all;
  for (const auto& file : files) {
    for (const auto& finding : rule(file)) all += finding + "\n";
  }
  return all;
}

}  // namespace

TEST_CASE("every include of the tree points to the left") {
  CHECK(findings(code_and_tests(), include_order) == "");
}

TEST_CASE("every third-party include of the tree is where it belongs") {
  CHECK(findings(code(), third_party_places) == "");
}

TEST_CASE("lib and sim are pure") {
  CHECK(findings(code(), purity) == "");
}

TEST_CASE("every header opens with its sentence") {
  CHECK(findings(code_and_tests(), header_opening) == "");
}

TEST_CASE("nothing in the tree is marked unfinished") {
  CHECK(findings(code_and_tests(), unfinished_marks) == "");
  CHECK(findings(files_of({"lib", "sim", "daemon", "tests"}, {".txt", ".yaml", ".csv"}), unfinished_marks) ==
        "");
}

TEST_CASE("every test of the tree has a name that CMake can hand on") {
  CHECK(findings(code_and_tests(), test_names) == "");
}

TEST_CASE("no source file of the tree is longer than 300 lines") {
  CHECK(findings(code(), length) == "");
}

TEST_CASE("the top of the checkout holds only what the layout names") {
  std::vector<std::string> entries;
  for (const auto& entry : fs::directory_iterator{top}) entries.push_back(entry.path().filename().string());
  REQUIRE_FALSE(entries.empty());
  std::string all;
  for (const auto& finding : top_level(entries)) all += finding + "\n";
  CHECK(all == "");
}
