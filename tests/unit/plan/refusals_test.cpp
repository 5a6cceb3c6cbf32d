// Every error of a plan, word for word: tests/unit/plan/refusals.txt holds what is written and what parse
// says.
#include <doctest/doctest.h>

#include <fstream>
#include <sstream>

#include "tests/source_folder.h"
#include "tests/unit/plan/plan_text.h"

namespace noonfall::plan {
namespace {

/// "@ step {…}", "@ rig …" or "@ top KEY: …", and the errors up to the next "@".
struct Refusal {
  std::string written;
  std::string errors;
};

std::vector<Refusal> refusals() {
  std::ifstream file{NOONFALL_SOURCE "/tests/unit/plan/refusals.txt"};
  std::vector<Refusal> found;
  for (std::string line; std::getline(file, line);) {
    if (line.starts_with("@ ")) {
      found.push_back({line.substr(2), ""});
    } else if (!found.empty()) {
      found.back().errors += line + "\n";
    }
  }
  return found;
}

std::string plan_of(const std::string& written) {
  const auto space = written.find(' ');
  const auto kind = written.substr(0, space);
  const auto rest = written.substr(space + 1);
  if (kind == "step") return with_step(rest);
  if (kind == "rig") return with_rig(rest);
  REQUIRE(kind == "top");
  return with_top_line(rest);
}

}  // namespace

TEST_CASE("each error shows its place, what was found and what is wanted, word for word") {
  const auto all = refusals();
  REQUIRE(all.size() > 90);
  for (const auto& [written, errors] : all) {
    CAPTURE(written);
    CHECK(errors_of(plan_of(written)) == errors);
  }
}

}  // namespace noonfall::plan
