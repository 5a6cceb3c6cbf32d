// noonfall cameras as a user's shell runs it, on simulated bodies: results on stdout, diagnostics and
// progress on stderr, exit 1 where a run would be stopped, 3 without a camera.
#include <algorithm>
#include <string>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "lib/body/profile_text.h"
#include "tests/program/run_program.h"
#include "tests/source_folder.h"

using namespace noonfall::tests;
using nlohmann::json;

namespace {

Ran cameras(const std::string& arguments) {
  return run_program(NOONFALL_PROGRAM, "cameras " + arguments);
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::string plan_file(const std::string& name) {
  return std::string{"'"} + NOONFALL_SOURCE + "/plans/" + name + "'";
}

}  // namespace

TEST_CASE("a simulated body is listed with nothing in the way") {
  const auto ran = cameras("--simulate mirrorless-20");
  CHECK(ran.exit == 0);
  CHECK(ran.err.empty());
  CHECK(has(ran.out, "simulated  mirrorless-20, family simulated"));
  CHECK(has(ran.out, "nothing it tells would stop a run"));
}

TEST_CASE("cameras --json is one object with every body's sheet") {
  const auto ran = cameras("--simulate mirror-24 --json");
  REQUIRE(ran.exit == 0);
  const auto all = json::parse(ran.out);
  REQUIRE(all.at("bodies").size() == 1);
  const auto& body = all["bodies"][0];
  CHECK(body.at("serial") == "simulated");
  CHECK(body.at("battery_percent") == 100);
  CHECK(body.at("card").at("free_mb") == 64'000);
  CHECK(body.at("choices").at("shutters").front() == "1/8000");
  CHECK(body.at("obstacles").empty());
  CHECK(all.at("unopened").empty());
}

TEST_CASE("measuring announces itself, shows progress, and writes a profile that check accepts") {
  const ScratchFolder folder;
  const auto ran = cameras("--simulate mirror-24 --measure simulated --out " + folder.path("own-body.yaml"));
  INFO(ran.err);
  REQUIRE(ran.exit == 0);
  CHECK(has(ran.err, "frames of at most 2 s follow, in about "));
  CHECK(has(ran.err, "LEAVE THE LENS CAP OR THE SOLAR FILTER ON"));
  CHECK(ran.err.find("LEAVE THE LENS CAP") < ran.err.find("frames: single frames"));
  CHECK(has(ran.err, "frames: filling the buffer"));
  CHECK(has(ran.out, "has the profile own-body, from "));
  const auto profile =
      noonfall::body::parse_profile(text_of_file(folder.path("own-body.yaml")), "own-body.yaml");
  REQUIRE(profile.has_value());
  CHECK(profile->name == "own-body");
  auto plan = text_of_file(std::string{NOONFALL_SOURCE} + "/plans/first-light.yaml");
  plan.replace(plan.find("simulate: mirrorless-20"), 23, "simulate: own-body");
  const auto checked = run_program(
      NOONFALL_PROGRAM, "check " + folder.file("plan", plan) + " --quiet --bodies " + folder.path(""));
  INFO(checked.err);
  CHECK(checked.exit == 0);
  const auto tried = cameras("--try " + folder.path("plan") + " --bodies " + folder.path(""));
  CHECK(tried.exit == 0);
}

TEST_CASE("measuring never overwrites, and says so before the first frame") {
  const ScratchFolder folder;
  const auto file = folder.file("own.yaml", "measured last week\n");
  const auto ran = cameras("--simulate mirror-24 --measure simulated --out " + file);
  CHECK(ran.exit == 3);
  CHECK(ran.out.empty());
  CHECK(has(ran.err, file + " exists already"));
  CHECK_FALSE(has(ran.err, "frames"));
  CHECK(text_of_file(file) == "measured last week\n");
}

TEST_CASE("a body that isn't there is the environment's failure") {
  const auto ran = cameras("--simulate mirror-24 --measure 3012345");
  CHECK(ran.exit == 3);
  CHECK(ran.out.empty());
  CHECK(has(ran.err, "no body with serial number 3012345 is there"));
}

TEST_CASE("every setting of a plan is tried on each rig's body") {
  const auto ran = cameras("--try " + plan_file("two-rigs-2027.yaml"));
  INFO(ran.out);
  CHECK(ran.exit == 0);
  CHECK(has(ran.out, "as asked"));
  CHECK(has(ran.err, "1 of "));
  const auto in_json = cameras("--json --try " + plan_file("two-rigs-2027.yaml"));
  const auto all = json::parse(in_json.out);
  REQUIRE(all.at("rigs").size() == 2);
  for (const auto& rig : all["rigs"]) {
    CHECK(rig.at("settings").size() > 3);
    for (const auto& setting : rig["settings"]) CHECK(setting.at("as_asked") == true);
  }
}

TEST_CASE("a plan with errors is refused before any body is asked") {
  const ScratchFolder folder;
  const auto ran = cameras("--try " + folder.file("plan.yaml", "noonfall: 1\n"));
  CHECK(ran.exit == 1);
  CHECK(ran.out.empty());
  CHECK(has(ran.err, "plan.yaml:"));
  CHECK(cameras("--try ./nowhere.yaml").exit == 3);
}

TEST_CASE("wrong command lines exit with 2") {
  CHECK(cameras("--out own.yaml").exit == 2);
  CHECK(cameras("--measure 1 --try plan.yaml").exit == 2);
  CHECK(cameras("--bodies .").exit == 2);
  CHECK(cameras("3012345").exit == 2);
}
