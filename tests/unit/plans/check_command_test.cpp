// `noonfall check` as a script sees it: exit code, what is on stdout and what on stderr.
#include "daemon/cli/commands.h"

#include <filesystem>
#include <fstream>
#include <sstream>

#include <doctest/doctest.h>
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include "tests/source_folder.h"

namespace noonfall::cli {
namespace {

struct Said {
  Exit exit = Exit::done;
  std::string out;
  std::string err;
};

Said check(const std::string& arguments) {
  std::ostringstream out;
  std::ostringstream err;
  CLI::App app;
  Context context{out, err, built_in_leap_seconds()};
  add_check_command(app, context);
  app.parse("check " + arguments);
  return {context.exit, out.str(), err.str()};
}

/// A folder of its own for each test, gone afterwards.
class Folder {
 public:
  Folder() : path_{std::filesystem::temp_directory_path() / "noonfall-check-test-XXXXXX"} {
    auto name = path_.string();
    REQUIRE(mkdtemp(name.data()) != nullptr);
    path_ = name;
  }
  ~Folder() { std::filesystem::remove_all(path_); }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;

  [[nodiscard]] std::string path() const { return path_.string(); }
  std::string add(const std::string& name, const std::string& text) const {
    std::ofstream{path_ / name} << text;
    return (path_ / name).string();
  }

 private:
  std::filesystem::path path_;
};

std::string plan(const std::string& site, const std::string& body = "{simulate: mirrorless-20}",
                 const std::string& eclipse = "2027-08-02") {
  return "noonfall: 1\neclipse: " + eclipse + "\nsite: {" + site + "}\nrigs:\n  long:\n    body: " + body +
         "\n    lens: {focal_length: 600 mm}\n    mount: tracking\n    exposure: {aperture: f/8, iso: 200}\n"
         "    filter: {density: 5.0}\n"
         "steps:\n  - {name: flash, rig: long, subject: prominences, at: MID, bracket: {frames: 3, by: 1 "
         "stop}}\n";
}

const std::string on_the_path = "latitude: 36.0139, longitude: -5.6033, elevation: 12 m";

}  // namespace

TEST_CASE("a good plan exits 0, with its timeline on stdout and nothing on stderr") {
  const Folder folder;
  const auto said = check(folder.add("plan.yaml", plan(on_the_path)));
  CHECK(said.exit == Exit::done);
  CHECK(said.out.find("flash: 3 frames 1/3200 to 1/800 f/8 ISO 200\n") != std::string::npos);
  CHECK(said.out.ends_with("This plan can be shot: 3 frames planned, 0 warnings\n"));
  CHECK(said.err.empty());
  CHECK(check(folder.path() + "/plan.yaml --quiet").out.empty());
}

TEST_CASE("local time is shown where the site has a zone") {
  const Folder folder;
  const auto text = check(folder.add("plan.yaml", plan(on_the_path + ", zone: Europe/Madrid"))).out;
  CHECK(text.find("local time is that of Europe/Madrid\n") != std::string::npos);
  CHECK(text.find("08:47:28.8  10:47:28.8  MID") != std::string::npos);  // CEST is UTC + 2 h
}

TEST_CASE("where to aim a fixed mount, and when the Sun is up, are shown") {
  const Folder folder;
  auto text = plan(on_the_path + ", horizon: 4°");
  text.replace(text.find("mount: tracking"), 15, "mount: fixed");
  text.insert(text.find("lens:"), "sensor: {width: 35.9 mm, height: 23.9 mm, pixel: 5.9 um}\n    ");
  const auto path = folder.add("plan.yaml", text);
  const auto shown = check(path).out;
  CAPTURE(shown);
  CHECK(shown.find("\n    sunrise  ") != std::string::npos);
  CHECK(shown.find("\n    sunset  ") != std::string::npos);
  CHECK(shown.find("    over the hill ") != std::string::npos);
  CHECK(shown.find("long: where to aim, ") != std::string::npos);
  CHECK(shown.find("long: the way of the Sun through the frame\n") != std::string::npos);
}

TEST_CASE("a plan that can't be shot exits 1 and says why, with the place") {
  const Folder folder;
  const auto path =
      folder.add("plan.yaml", plan(on_the_path + ", zone: Europe/Madrad", "{simulate: mirorless-20}"));
  const auto said = check(path);
  CHECK(said.exit == Exit::work_has_errors);
  CHECK(said.out ==
        "2 errors, 0 warnings: the plan can't be shot as written\n"
        "`noonfall check --explain CODE` says why: unknown-profile, unknown-zone\n");
  CHECK(said.err.find(path + ":3:7: error: no time zone \"Europe/Madrad\" here\n") != std::string::npos);
  CHECK(said.err.find(path + ":6:11: error: there is no body profile \"mirorless-20\" for long\n") !=
        std::string::npos);
}

TEST_CASE("a date without an eclipse offers the nearest ones") {
  const Folder folder;
  const auto said =
      check(folder.add("plan.yaml", plan(on_the_path, "{simulate: mirrorless-20}", "2027-08-03")));
  CHECK(said.exit == Exit::work_has_errors);
  CHECK(said.err.find("error: no solar eclipse on 2027-08-03 (UTC)\n") != std::string::npos);
  CHECK(said.err.find("2027-08-02") != std::string::npos);
}

TEST_CASE("what can't be read is the environment's failure and exits 3") {
  const Folder folder;
  CHECK(check(folder.path() + "/none.yaml").exit == Exit::environment);
  const auto path = folder.add("plan.yaml", plan(on_the_path));
  CHECK(check(path + " --bodies " + folder.path() + "/none").exit == Exit::environment);
}

TEST_CASE("a folder adds body profiles, and a broken one there is an error with its place") {
  const Folder folder;
  const Folder bodies;
  const auto path = folder.add("plan.yaml", plan(on_the_path, "{simulate: my-body}"));
  std::ifstream shipped{NOONFALL_SOURCE "/plans/bodies/mirrorless-20.yaml"};
  std::ostringstream text;
  text << shipped.rdbuf();
  auto mine = text.str();
  mine.replace(mine.find("name: mirrorless-20"), 19, "name: my-body");
  bodies.add("mine.yaml", mine);
  CHECK(check(path + " --bodies " + bodies.path()).exit == Exit::done);
  const auto broken = bodies.add("broken.yml", "noonfall_body: 1\nname: [\n");
  const auto said = check(path + " --bodies " + bodies.path());
  CHECK(said.exit == Exit::work_has_errors);
  CHECK(said.err.find(broken + ":") != std::string::npos);
}

TEST_CASE("--json is one object with errors, warnings, frames and the timeline by time") {
  const Folder folder;
  const auto good = nlohmann::json::parse(check(folder.add("plan.yaml", plan(on_the_path)) + " --json").out);
  CHECK(good["errors"].empty());
  CHECK(good["frames"] == 3);
  std::string kinds;
  for (const auto& entry : good["timeline"]) kinds += entry["kind"].get<std::string>() + " ";
  CHECK(kinds == "cue filter_window cue set cue cue ");
  CHECK(good["timeline"][3]["exposures"] ==
        nlohmann::json{"1/3200 f/8 ISO 200", "1/1600 f/8 ISO 200", "1/800 f/8 ISO 200"});
  const auto bad = nlohmann::json::parse(
      check(folder.add("bad.yaml", plan(on_the_path, "{simulate: mirorless-20}")) + " --json").out);
  REQUIRE(bad["errors"].size() == 1);
  CHECK(bad["errors"][0]["code"] == "unknown-profile");
  CHECK(bad["errors"][0]["line"] == 6);
  CHECK(bad["errors"][0]["column"] == 11);
  CHECK(bad["errors"][0]["hint"] == "mirrorless-20");
  CHECK(bad["timeline"].empty());
}

TEST_CASE("a site outside the path is told how far, and that the sign of its longitude may be wrong") {
  const Folder folder;
  const auto west =
      check(folder.add("west.yaml", plan("latitude: 25.6872, longitude: -32.6396, elevation: 80 m")));
  CHECK(west.err.find("the site lies ") != std::string::npos);
  CHECK(west.err.find("  wanted: longitude: 32.6396? With that sign the eclipse is total there\n") !=
        std::string::npos);
  // NASA's path of 2027-08-02 is 258 km wide and runs along the Strait; Madrid lies 400 km north of its
  // middle.
  const auto madrid = nlohmann::json::parse(
      check(folder.add("madrid.yaml", plan("latitude: 40.4, longitude: -3.7, elevation: 650 m")) + " --json")
          .out);
  std::string codes;
  for (const auto& finding : madrid["warnings"]) codes += finding["code"].get<std::string>() + " ";
  CHECK(codes.find("outside-path") != std::string::npos);
}

TEST_CASE("--explain prints the page's part about a code, and offers the nearest for one that isn't") {
  const auto said = check("--explain burst-slows");
  CHECK(said.exit == Exit::done);
  CHECK(said.out.starts_with("burst-slows\n"));
  CHECK(said.out.find("```yaml") != std::string::npos);
  const auto unknown = check("--explain burst-slow");
  CHECK(unknown.exit == Exit::bad_command_line);
  CHECK(unknown.err == "noonfall: no finding has the code \"burst-slow\"; wanted burst-slows\n");
  CHECK(check("").exit == Exit::bad_command_line);
}

}  // namespace noonfall::cli
