// What holds for every plan, and for any text that is almost one.
#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "lib/plan/mirror.h"
#include "lib/plan/print.h"
#include "tests/source_folder.h"
#include "tests/unit/plan/any_plan.h"
#include "tests/unit/plan/plan_text.h"

namespace noonfall::plan {
namespace {

std::string file_text(const std::filesystem::path& path) {
  std::ifstream file{path};
  std::stringstream text;
  text << file.rdbuf();
  return text.str();
}

void require_places(const Diagnostics& findings, const std::string& text) {
  const auto lines = std::count(text.begin(), text.end(), '\n') + 1;
  RC_ASSERT(!findings.empty());
  int last_line = 0;
  for (const auto& finding : findings) {
    RC_ASSERT(finding.mark.line >= std::max(last_line, 1) && finding.mark.line <= lines &&
              finding.mark.column >= 1);
    RC_ASSERT(!finding.code.empty() && !finding.message.empty() && !finding.hint.empty());
    last_line = finding.mark.line;
  }
}

}  // namespace

TEST_CASE("every plan is read back as it was printed") {
  const bool held = rc::check("parse(print(plan)) == plan", [] {
    const auto plan = any_plan();
    const auto text = print(plan);
    RC_LOG() << text;
    const auto again = parse(text);
    if (!again) RC_LOG() << to_text(again.error());
    RC_ASSERT(again.has_value());
    RC_ASSERT(*again == plan);
    RC_ASSERT(print(*again) == text);
  });
  CHECK(held);
}

TEST_CASE("every shipped plan is read, and read back as it was printed") {
  int plans = 0;
  for (const auto& entry : std::filesystem::directory_iterator{NOONFALL_SOURCE "/plans"}) {
    if (entry.path().extension() != ".yaml") continue;
    ++plans;
    CAPTURE(entry.path().string());
    const auto text = file_text(entry.path());
    const auto plan = parse(text);
    REQUIRE_MESSAGE(plan, errors_of(text));
    const auto again = parse(print(*plan));
    REQUIRE(again);
    CHECK(*again == *plan);
  }
  CHECK(plans > 0);
}

TEST_CASE("the example of the format's description is a plan") {
  const auto page = file_text(NOONFALL_SOURCE "/docs/plan-format.md");
  const std::string opening = "```yaml\n";
  const auto from = page.find(opening);
  REQUIRE(from != std::string::npos);
  const auto text =
      page.substr(from + opening.size(), page.find("```", from + opening.size()) - from - opening.size());
  CHECK(errors_of(text) == "no errors\n");
}

TEST_CASE("every plan's mirrors can be written out, one step for one") {
  const bool held = rc::check("with_mirrors_resolved", [] {
    const auto plan = any_plan();
    const auto steps = with_mirrors_resolved(plan);
    RC_ASSERT(steps.has_value());
    RC_ASSERT(steps->size() == plan.steps.size());
    for (std::size_t n = 0; n < steps->size(); ++n) {
      RC_ASSERT((*steps)[n].name == plan.steps[n].name);
      RC_ASSERT(!std::holds_alternative<MirrorOf>((*steps)[n].what));
    }
  });
  CHECK(held);
}

TEST_CASE("a plan with anything done to it is read or refused, each error with its place and its remedy") {
  const auto piece =
      rc::gen::element<std::string>("", " ", "\n", "  ", "- ", ":", "{", "}", "[", "]", ",", "\"", "~", "C2",
                                    "0", "9", "a", "name: ", "at: C2", "mirror: ", "é", "\t", "#", "all",
                                    "none", "s", " to ", "exposure: {", "99999999999999999999");
  const bool held = rc::check("parse", [&] {
    std::string text = example;
    const int edits = *rc::gen::inRange(1, 6);
    for (int n = 0; n < edits; ++n) {
      const auto at = *rc::gen::inRange<std::size_t>(0, text.size());
      text.replace(at, *rc::gen::inRange<std::size_t>(0, 12), *piece);
    }
    const auto plan = parse(text);
    if (!plan) return require_places(plan.error(), text);
    const auto again = parse(print(*plan));
    RC_ASSERT(again.has_value());
    RC_ASSERT(*again == *plan);
  });
  CHECK(held);
}

}  // namespace noonfall::plan
