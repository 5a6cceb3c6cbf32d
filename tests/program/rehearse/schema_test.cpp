// docs/plan.schema.json against every plan of the tree that the parser takes, by the validator of the Python
// community (python3-jsonschema of Debian, JSON Schema draft 7).
#include <filesystem>

#include <doctest/doctest.h>

#include "lib/plan/parse.h"
#include "tests/program/run_program.h"
#include "tests/source_folder.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

// The system's own: its packages aren't seen by others.
const std::string python = "/usr/bin/python3";

bool has_validator() {
  return run_program(python, "-c 'import jsonschema, yaml'").exit == 0;
}

Ran validate(const std::string& files) {
  return run_program(python, NOONFALL_SOURCE "/tests/program/rehearse/validate_plans.py " NOONFALL_SOURCE
                                             "/docs/plan.schema.json " +
                                 files);
}

/// Files that are plans without an error of form.
std::vector<std::string> plans_of_the_tree() {
  std::vector<std::string> found;
  for (const auto* folder :
       {"/plans", "/tests/bench", "/tests/fuzz/corpus/plan", "/tests/fuzz/corpus/yaml"}) {
    for (const auto& entry : std::filesystem::directory_iterator{std::string{NOONFALL_SOURCE} + folder}) {
      if (entry.is_regular_file() && plan::parse(text_of_file(entry.path().string())))
        found.push_back(entry.path().string());
    }
  }
  return found;
}

std::string replaced(std::string text, const std::string& what, const std::string& by) {
  const auto at = text.find(what);
  REQUIRE_MESSAGE(at != std::string::npos, what);
  return text.replace(at, what.size(), by);
}

}  // namespace

TEST_CASE("the schema takes every plan of the tree, and a drafted one") {
  if (!has_validator()) {
    MESSAGE("SKIPPED: no python3-jsonschema with python3-yaml");
    return;
  }
  const ScratchFolder folder;
  auto plans = plans_of_the_tree();
  CHECK(plans.size() >= 7);
  const auto drafted = run_program(
      NOONFALL_PROGRAM,
      "draft 2027-08-02 --at 36.0139,-5.6033,12 --focal 600mm --aperture f/8 --filter 5.0 --body "
      "mirrorless-20 "
      "--mount fixed --sensor 35.9x23.9mm --pixel 5.9um --rig long --rig pocket --focal 50mm --by-hand");
  REQUIRE(drafted.exit == 0);
  plans.push_back(folder.file("drafted.yaml", drafted.out));
  std::string files;
  for (const auto& plan : plans) files += "'" + plan + "' ";
  const auto ran = validate(files);
  CHECK(ran.out == "");
  CHECK(ran.exit == 0);
}

TEST_CASE("the schema refuses what the parser refuses") {
  if (!has_validator()) {
    MESSAGE("SKIPPED: no python3-jsonschema with python3-yaml");
    return;
  }
  const ScratchFolder folder;
  const auto good = text_of_file(NOONFALL_SOURCE "/plans/first-light.yaml");
  const std::pair<const char*, const char*> mistakes[] = {
      {"every: 5 min", "evry: 5 min"},
      {"every: 5 min", "every: 5"},
      {"from: C1 + 10 s", "from: C5 + 10 s"},
      {"subject: photosphere", "subject: sunspots"},
      {"mount: tracking", "mount: magic"},
      {"iso: 400", "iso: many"},
      {"{frames: 3, by: 1 stop}", "{frames: 3}"},
      {"elevation: 12 m", "elevation: 12"},
      {"  - name: corona\n    rig: long", "  - name: corona"},
      {"noonfall: 1 ", "noonfall: 2 "},
      {"{simulate: mirrorless-20}", "{serial: '1'}"},
  };
  for (const auto& [what, by] : mistakes) {
    CAPTURE(by);
    const auto text = replaced(good, what, by);
    CHECK_FALSE(plan::parse(text));
    CHECK(validate(folder.file("plan.yaml", text)).exit == 1);
  }
}
