// `noonfall draft` as a person and a script meet it: what it asks, what it refuses, what it writes.
#include "daemon/cli/commands.h"

#include <filesystem>
#include <fstream>
#include <sstream>

#include <doctest/doctest.h>
#include <CLI/CLI.hpp>

#include "lib/plan/parse.h"
#include "lib/time/time_scales.h"

namespace noonfall::cli {
namespace {

struct Said {
  Exit exit = Exit::done;
  std::string out;
  std::string err;
};

Said draft(const std::string& arguments, std::istream* ask = nullptr) {
  std::ostringstream out;
  std::ostringstream err;
  CLI::App app;
  Context context{out, err, built_in_leap_seconds(), Exit::done, ask};
  add_draft_command(app, context);
  app.parse("draft " + arguments);
  return {context.exit, out.str(), err.str()};
}

const std::string site = "2027-08-02 --at 36.0139,-5.6033,12 --limb mean ";
const std::string gear = "--focal 600mm --aperture f/8 --filter 5.0 --body mirrorless-20 ";

}  // namespace

TEST_CASE("a whole line gives a plan that parses, with nothing on stderr") {
  const auto said =
      draft(site + gear + "--mount tracking --sensor 35.9x23.9mm --pixel 5.9um --zone Europe/Madrid");
  CHECK(said.exit == Exit::done);
  CHECK(said.err.empty());
  const auto plan = plan::parse(said.out);
  REQUIRE_MESSAGE(plan, said.out);
  CHECK(plan->rigs.size() == 1);
  CHECK(plan->rigs[0].mount == plan::Mount::tracking);
  CHECK(plan->site.zone == "Europe/Madrid");
  CHECK(said.out.starts_with("# 279 s of totality, drafted for this place and gear."));
}

TEST_CASE("each --rig begins one, and what stands before the first is every rig's") {
  const auto said = draft(site +
                          "--body mirror-24 --filter 5.0 --aperture f/8 --rig long --focal 600mm --rig short "
                          "--focal 200mm --by-hand");
  CHECK(said.exit == Exit::done);
  const auto plan = plan::parse(said.out);
  REQUIRE_MESSAGE(plan, said.err);
  REQUIRE(plan->rigs.size() == 2);
  CHECK(plan->rigs[0].name == "long");
  CHECK(plan->rigs[0].focal_length == Millimetres{600});
  CHECK(std::holds_alternative<plan::SimulatedBody>(plan->rigs[0].body));
  CHECK(plan->rigs[1].focal_length == Millimetres{200});
  CHECK(std::holds_alternative<plan::ByHand>(plan->rigs[1].body));
}

TEST_CASE("without a terminal what is missing is named") {
  const auto said = draft("2027-08-02 --focal 600mm");
  CHECK(said.exit == Exit::bad_command_line);
  CHECK(said.out.empty());
  CHECK(said.err ==
        "noonfall: draft lacks --at, --body, --aperture, --filter; at a terminal it asks for them\n");
}

TEST_CASE("at a terminal it asks for what is missing, and an empty line takes the default") {
  std::istringstream answers{"\n\nEurope/Madrid\n\n400mm\nf/5.6\n\ntracking\n\n\n"};
  const auto said = draft("2027-08-02 --limb mean", &answers);
  CHECK_MESSAGE(said.exit == Exit::done, said.err);
  CHECK(said.err.find("Focal length [600mm] (how large the Sun is in the frame): ") != std::string::npos);
  const auto plan = plan::parse(said.out);
  REQUIRE(plan);
  CHECK(plan->rigs[0].focal_length == Millimetres{400});
  CHECK(plan->rigs[0].exposure.aperture->low == exposure::FNumber{56});
  CHECK(plan->rigs[0].mount == plan::Mount::tracking);
  CHECK(plan->rigs[0].filter->density == 5);
  CHECK_FALSE(plan->site.horizon);
  CHECK(plan->site.zone == "Europe/Madrid");
}

TEST_CASE("behind a hill nothing is drafted, whether it is asked for or on the line") {
  // The Sun sets eclipsed in Spain on 2026-08-12; totality is some 5° high here, as recipes.md has it.
  const std::string at = "2026-08-12 --at 40.80,-0.60,900 --limb mean ";
  const auto totality = [](const Said& said) {
    CHECK_MESSAGE(said.exit == Exit::done, said.err);
    return said.out.find(" s of totality, drafted") != std::string::npos;
  };
  CHECK(totality(draft(at + gear + "--horizon 2")));
  const auto hidden = draft(at + gear + "--horizon 7°");
  CHECK_FALSE(totality(hidden));
  CHECK(plan::parse(hidden.out)->site.horizon == Degrees{7});
  std::istringstream answers{"7\n\n\n\n\n"};
  const auto asked = draft(at + gear, &answers);
  CHECK(asked.err.find("Height of what hides the sky where the Sun goes [0] (degrees; no frames") == 0);
  CHECK(asked.out.find("horizon: 7°") != std::string::npos);
  CHECK(draft(at + gear + "--horizon 60").err ==
        "noonfall: nothing of the eclipse of 2026-08-12 is above the horizon of 60° at 40.80,-0.60,900\n");
  const auto steep = draft(at + gear + "--horizon 61");
  CHECK(steep.exit == Exit::bad_command_line);
  CHECK(steep.err == "noonfall: --horizon: \"61\" isn't understood; wanted degrees from -5 to 60, like 4\n");
}

TEST_CASE("gear that can't be is refused line by line, and nothing is written") {
  const auto said = draft(site + "--focal 0mm --aperture f/0.3 --filter 2 --body mirorless-20");
  CHECK(said.exit == Exit::bad_command_line);
  CHECK(said.out.empty());
  CHECK(said.err ==
        "noonfall: --focal: \"0mm\" isn't understood; wanted a length from 1 to 5000 mm, like 600mm\n"
        "noonfall: --aperture: \"f/0.3\" isn't understood; wanted an f-number from f/0.7 to f/128, like f/8\n"
        "noonfall: --filter: \"2\" isn't understood; wanted a density from 3 to 7, like 5.0, or none\n"
        "noonfall: --body: \"mirorless-20\" isn't understood; wanted mirrorless-20\n");
}

TEST_CASE("no filter is for a short lens that is stopped down") {
  CHECK(draft(site + "--focal 600mm --aperture f/8 --filter none --body mirror-24").exit ==
        Exit::bad_command_line);
  CHECK(draft(site + "--focal 24mm --aperture f/2.8 --filter none --body mirror-24").exit ==
        Exit::bad_command_line);
  CHECK(draft(site + "--focal 24mm --aperture f/8 --filter none --body mirror-24").exit == Exit::done);
}

TEST_CASE("a date without an eclipse, and a site that sees nothing of it, are one line and exit 1") {
  const auto no_eclipse = draft("2027-08-03 --at 36,-5.6 " + gear);
  CHECK(no_eclipse.exit == Exit::work_has_errors);
  CHECK(no_eclipse.err.find("no solar eclipse on 2027-08-03") != std::string::npos);
  const auto unseen = draft("2027-08-02 --at -40,175 --limb mean " + gear);
  CHECK(unseen.exit == Exit::work_has_errors);
  CHECK(unseen.err == "noonfall: nothing of the eclipse of 2027-08-02 is above the horizon at -40,175\n");
  CHECK(draft("2027-08-02 --at 95,0 " + gear).exit == Exit::work_has_errors);
  CHECK(draft("2027-08-02 --at here " + gear).exit == Exit::bad_command_line);
}

TEST_CASE("a site outside the path gets its partial plan, and is told how far it is and of a sign mistaken") {
  // Oviedo, in totality on 2026-08-12 (any map of that path), lies at 43.36 N, 5.85 W.
  const auto away = draft("2027-08-02 --at 38.5,-5 --limb mean " + gear);
  CHECK(away.exit == Exit::done);
  CHECK(away.err ==
        "noonfall: the site lies 190 km outside the path: this is a plan for what is partial there\n");
  const auto turned = draft("2026-08-12 --at 43.36,5.85 --limb mean " + gear);
  CHECK(turned.err.find("; longitude: -5.85? With that sign the eclipse is total there\n") !=
        std::string::npos);
}

TEST_CASE("a file that exists is never written over") {
  auto name = (std::filesystem::temp_directory_path() / "noonfall-draft-test-XXXXXX").string();
  REQUIRE(mkdtemp(name.data()) != nullptr);
  const auto path = name + "/plan.yaml";
  CHECK(draft(site + gear + "--out " + path).exit == Exit::done);
  const auto size = std::filesystem::file_size(path);
  CHECK(draft(site + gear + "--out " + path).exit != Exit::done);
  CHECK(std::filesystem::file_size(path) == size);
  std::filesystem::remove_all(name);
}

}  // namespace noonfall::cli
