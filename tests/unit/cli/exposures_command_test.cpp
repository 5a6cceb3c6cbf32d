#include "daemon/cli/commands.h"

#include <sstream>
#include <string>

#include <doctest/doctest.h>
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include "tests/source_folder.h"

using namespace noonfall;

namespace {

struct Answer {
  std::string out;
  std::string err;
  command_line::Exit exit = command_line::Exit::done;
};

Answer ask(const std::string& arguments) {
  std::ostringstream out;
  std::ostringstream err;
  cli::Context context{out, err, built_in_leap_seconds()};
  CLI::App app{"noonfall"};
  cli::add_exposures_command(app, context);
  app.parse("exposures " + arguments);
  return {out.str(), err.str(), context.exit};
}

nlohmann::json row_named(const nlohmann::json& answer, const std::string& subject) {
  for (const auto& row : answer["rows"]) {
    if (row["subject"] == subject) return row;
  }
  FAIL("no row " << subject);
  return {};
}

}  // namespace

TEST_CASE("the table names every subject's shutter time for the gear") {
  const auto answer = ask("--aperture f/8 --iso 400 --filter 5.0 --focal 600mm --pixel 5.9um");
  CHECK(answer.exit == command_line::Exit::done);
  CHECK(answer.err.empty());
  // NASA RP 1369 Table 16 by its formula, on the nearest third stop.
  CHECK(answer.out.find("photosphere, filter 5.0     8.0   1/1600 s    1/1600\n") != std::string::npos);
  CHECK(answer.out.find("prominences                 9.0   1/3200 s    1/3200\n") != std::string::npos);
  CHECK(answer.out.find("corona 8                   -3.0     1.28 s     1.3 s  trails 9.3 pixels") !=
        std::string::npos);
  CHECK(answer.out.find("NASA RP 1369 (1995), Table 16") != std::string::npos);
  CHECK(answer.out.find("5.50 mm by focal length / 109") != std::string::npos);
  CHECK(answer.out.find("0.135 s for one pixel of 5.9 um") != std::string::npos);
}

TEST_CASE("the table warns about the filter and never calls looking safe") {
  const auto text = ask("--aperture f/8 --iso 400").out;
  CHECK(text.find("Outside totality the camera filter stays on, in front of the lens.") != std::string::npos);
  CHECK(text.find("local rules") != std::string::npos);
  CHECK(text.find("eye-care") != std::string::npos);
  CHECK(text.find("safe") == std::string::npos);
}

TEST_CASE("a subject without a source says so, one without any figure has none") {
  const auto answer = nlohmann::json::parse(ask("--aperture f/8 --iso 400 --json").out);
  CHECK(row_named(answer, "earthshine")["basis"] == "common practice, no source");
  CHECK(row_named(answer, "landscape")["shutter"].is_null());
  CHECK(row_named(answer, "photosphere")["seconds"] == 0.000625);
  CHECK(answer["edition"] == "1997");
  CHECK(answer["framing"].is_null());
}

TEST_CASE("a time the body doesn't have is told in stops") {
  const auto answer = nlohmann::json::parse(ask("--aperture f/8 --iso 400 --body mirror-24 --json").out);
  CHECK(row_named(answer, "beads")["shutter"] == "1/8000");
  CHECK(row_named(answer, "beads")["note"] == "1.6 stops over: no shorter time");
}

TEST_CASE("everything wrong on the command line is told at once") {
  const auto answer = ask("--aperture 8 --iso 4 --focal 600 --pixel 5 --body mirorless-20");
  CHECK(answer.exit == command_line::Exit::bad_command_line);
  CHECK(answer.out.empty());
  CHECK(answer.err ==
        "noonfall: --aperture: \"8\" isn't understood; wanted an f-number like f/8\n"
        "noonfall: --iso: \"4\" isn't understood; wanted a whole number from 6 to 409600\n"
        "noonfall: --focal: \"600\" isn't understood; wanted a length like 600mm\n"
        "noonfall: --pixel: \"5\" isn't understood; wanted a length like 5.9um\n"
        "noonfall: --body: there is no body profile \"mirorless-20\"; wanted mirrorless-20\n");
}

TEST_CASE("a setting the body doesn't offer is answered with the nearest it has") {
  CHECK(ask("--aperture f/44 --iso 110 --body mirror-24").err ==
        "noonfall: --iso: mirror-24 doesn't offer ISO 110; wanted ISO 100\n"
        "noonfall: --aperture: mirror-24 doesn't offer f/44; wanted f/32\n");
}

TEST_CASE("bodies of a folder stand beside those that come with noonfall") {
  const auto folder = std::string{NOONFALL_SOURCE} + "/plans/bodies";
  CHECK(ask("--aperture f/8 --iso 400 --body mirror-24 --bodies " + folder).exit == command_line::Exit::done);
  const auto missing = ask("--aperture f/8 --iso 400 --bodies " + folder + "/none");
  CHECK(missing.exit == command_line::Exit::environment);
  CHECK(missing.err.find("/plans/bodies/none: No such file or directory") != std::string::npos);
  CHECK(ask("--aperture f/8 --iso 400 --body box").err ==
        "noonfall: --body: there is no body profile \"box\"; wanted one of mirror-24, mirrorless-12, "
        "mirrorless-20\n");
}

TEST_CASE("a pixel without a focal length says nothing and is refused") {
  CHECK(ask("--aperture f/8 --iso 400 --pixel 5.9um").err ==
        "noonfall: --pixel says nothing without --focal\n");
}

TEST_CASE("filters no camera uses on the Sun are refused") {
  CHECK_THROWS_AS(ask("--aperture f/8 --iso 400 --filter 0"), CLI::ValidationError);
  CHECK_THROWS_AS(ask("--aperture f/8 --iso 400 --filter 2.9"), CLI::ValidationError);
}
