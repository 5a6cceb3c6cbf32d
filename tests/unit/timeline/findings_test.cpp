// Every finding of the timeline, word for word: tests/unit/timeline/findings.txt holds what is written and
// what is said about it. After a change of words run this test with NOONFALL_UPDATE_TEXTS=1 and read what
// changed.
#include <doctest/doctest.h>

#include <cstdlib>
#include <fstream>

#include "tests/source_folder.h"
#include "tests/unit/timeline/scene.h"

namespace noonfall::timeline {
namespace {

constexpr const char* path = NOONFALL_SOURCE "/tests/unit/timeline/findings.txt";

/// "@ SKY", the plan's lines after the usual header, "--", and the findings up to the next "@".
struct Case {
  std::string sky;
  std::string plan;
  std::string findings;
};

std::vector<Case> cases() {
  std::ifstream file{path};
  std::vector<Case> found;
  bool in_plan = false;
  for (std::string line; std::getline(file, line);) {
    if (line.starts_with("@ ")) {
      found.push_back({line.substr(2), "", ""});
      in_plan = true;
    } else if (line == "--") {
      in_plan = false;
    } else {
      (in_plan ? found.back().plan : found.back().findings) += line + "\n";
    }
  }
  return found;
}

contacts::Circumstances sky_named(const std::string& name) {
  using contacts::Kind;
  auto total = tests::sky();
  if (name == "total") return total;
  if (name == "annular") return tests::sky(Kind::annular);
  if (name == "partial") return tests::sky(Kind::partial);
  if (name == "none") return tests::sky(Kind::none);
  for (auto& contact : total.contacts) {
    if (name == "total, low Sun") contact->altitude = contact->apparent_altitude = Degrees{5};
    if (name == "total, Sun down") contact->altitude = contact->apparent_altitude = Degrees{-3};
    if (name == "total, edge of the path") contact->uncertainty = std::chrono::minutes{2};
  }
  REQUIRE(total != tests::sky());
  return total;
}

std::string said_about(const Case& one) {
  return to_text(tests::built(one.plan, sky_named(one.sky)).findings);
}

}  // namespace

TEST_CASE("each finding shows its place, what was found and what is wanted, word for word") {
  const auto all = cases();
  REQUIRE(all.size() > 40);
  for (const auto& one : all) {
    CAPTURE(one.plan);
    CHECK(said_about(one) == one.findings);
  }
  if (std::getenv("NOONFALL_UPDATE_TEXTS") == nullptr) return;
  std::ofstream file{path};
  for (const auto& one : all) file << "@ " << one.sky << '\n' << one.plan << "--\n" << said_about(one);
}

}  // namespace noonfall::timeline
