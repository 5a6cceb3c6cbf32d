// The Moon's edge on the command line: where its data are found, what it changes, and how strips are made.
#include <cmath>

#include <doctest/doctest.h>
#include <sys/stat.h>
#include <nlohmann/json.hpp>

#include "lib/limb/strip.h"
#include "lib/time/utc_text.h"
#include "tests/program/contacts/limb_program.h"
#include "tests/reference_file.h"
#include "tests/source_folder.h"
#include "tests/unit/limb/strips.h"

using namespace noonfall;
using namespace noonfall::tests;
using nlohmann::json;

namespace {

/// A data folder with a strip of this name and radius in it.
std::string data_home(const ScratchFolder& folder, double radius_km,
                      const std::string& name = "made-up.llb") {
  std::filesystem::create_directories(folder.path("noonfall"));
  return folder.file("noonfall/" + name, limb::to_bytes(smooth_strip(radius_km)));
}

constexpr double k2_radius_km = 0.272281 * 6378.137;

double seconds_between(const json& a, const json& b) {
  return in_seconds(*parse_utc(b.get<std::string>()) - *parse_utc(a.get<std::string>()));
}

}  // namespace

TEST_CASE("a strip in the user's data folder is used, and the answer says so") {
  const ScratchFolder folder;
  const auto strip = data_home(folder, k2_radius_km);
  const Variable home{"XDG_DATA_HOME", folder.path("")};
  const auto profile = json_of(tarifa);
  CHECK(profile["limb"] == "profile");
  CHECK(std::filesystem::equivalent(profile["limb_data"].get<std::string>(), strip));
  CHECK(profile["solar_radius_arcsec"] == 959.95);
  CHECK(std::abs(profile["contacts"]["C2"]["limb_correction_s"].get<double>()) < 0.02);
  CHECK(std::abs(profile["contacts"]["C3"]["limb_correction_s"].get<double>()) < 0.02);
  CHECK_FALSE(profile["contacts"]["C1"].contains("limb_correction_s"));
  const auto mean = json_of(tarifa + "--limb mean");
  CHECK(mean["limb"] == "mean");
  CHECK(mean["limb_data"].is_null());
  CHECK(mean["solar_radius_arcsec"] == 959.63);
  CHECK(mean["contacts"]["C2"]["limb_correction_s"].is_null());
  CHECK(mean["contacts"]["C2"]["uncertainty_s"] > profile["contacts"]["C2"]["uncertainty_s"]);
  CHECK(has(noonfall_program(tarifa).out, "lunar limb profile from "));
  CHECK(has(noonfall_program(tarifa + "--limb mean").out, "mean limb of the Moon"));
}

TEST_CASE("the edge moves C2 and C3 and what is between, not C1 and C4") {
  const ScratchFolder folder;
  // 1 km larger a Moon, 0.57": C2 earlier and C3 later by 1 to 3 s at 0.35"/s
  const auto large = folder.file("large.llb", limb::to_bytes(smooth_strip(k2_radius_km + 1)));
  const auto found = json_of(tarifa + "--limb-data " + large);
  const auto smooth = json_of(tarifa + "--limb mean --solar-radius 959.95");
  const auto moved = [&](const char* name) {
    return seconds_between(smooth["contacts"][name]["utc"], found["contacts"][name]["utc"]);
  };
  CHECK(moved("C1") == 0);
  CHECK(moved("C4") == 0);
  CHECK(moved("C2") < -1);
  CHECK(moved("C2") > -3);
  CHECK(moved("C3") > 1);
  CHECK(moved("C3") < 3);
  CHECK(std::abs(moved("C2") - found["contacts"]["C2"]["limb_correction_s"].get<double>()) < 0.003);
  CHECK(std::abs(moved("MID") - (moved("C2") + moved("C3")) / 2) < 0.003);
  CHECK(std::abs(found["totality_s"].get<double>() - smooth["totality_s"].get<double>() - moved("C3") +
                 moved("C2")) < 0.003);
}

TEST_CASE("the user's folder comes before the system's, and a file named comes before both") {
  const ScratchFolder user;
  const ScratchFolder system;
  const auto of_user = data_home(user, 1738);
  const auto of_system = data_home(system, 1739);
  const Variable dirs{"XDG_DATA_DIRS", "/nonexistent:" + system.path("")};
  CHECK(std::filesystem::equivalent(json_of(tarifa)["limb_data"].get<std::string>(), of_system));
  const Variable home{"XDG_DATA_HOME", user.path("")};
  CHECK(std::filesystem::equivalent(json_of(tarifa)["limb_data"].get<std::string>(), of_user));
  CHECK(json_of(tarifa + "--limb-data " + of_system)["limb_data"] == of_system);
}

TEST_CASE("a damaged strip is an error wherever it lies, never a reason for other times") {
  const ScratchFolder folder;
  auto bytes = limb::to_bytes(smooth_strip(1737.4));
  bytes[bytes.size() - 100] = 2;
  std::filesystem::create_directories(folder.path("noonfall"));
  const auto strip = folder.file("noonfall/damaged.llb", bytes);
  const std::string message = ": error: the strip doesn't match its checksum: the file is damaged\n";
  const auto named = noonfall_program(tarifa + "--limb-data " + strip);
  CHECK(named.exit == 1);
  CHECK(named.out.empty());
  CHECK(has(named.err, strip + message));
  const Variable home{"XDG_DATA_HOME", folder.path("")};
  const auto found = noonfall_program(tarifa);
  CHECK(found.exit == 1);
  CHECK(found.out.empty());
  CHECK(has(found.err, message));
  CHECK(noonfall_program(tarifa + "--limb mean").exit == 0);
  folder.file("noonfall/another.llb", bytes);
  const auto two = noonfall_program(tarifa);
  CHECK(two.exit == 1);
  CHECK(has(two.err, "has 2 strips of lunar heights"));
}

TEST_CASE("what can't be had is said: a profile without data, a file that isn't there, both edges at once") {
  const auto without = noonfall_program(tarifa + "--limb profile");
  CHECK(without.exit == 3);
  CHECK(has(without.err, "no lunar limb profile is available"));
  CHECK(noonfall_program(tarifa + "--beads").exit == 3);
  CHECK(noonfall_program(tarifa + "--limb-data /nonexistent/x.llb").exit == 3);
  CHECK(noonfall_program(tarifa + "--limb mean --limb-data x.llb").exit == 2);
  CHECK(noonfall_program(tarifa + "--limb mean --beads").exit == 2);
  CHECK(noonfall_program(tarifa + "--limb mean --limb-plot x.svg").exit == 2);
}

TEST_CASE("a pipe is no strip, nor is the name of an unset variable") {
  const ScratchFolder folder;
  std::filesystem::create_directories(folder.path("noonfall"));
  const auto pipe = folder.path("noonfall/pipe.llb");
  REQUIRE(::mkfifo(pipe.c_str(), 0600) == 0);
  const Variable home{"XDG_DATA_HOME", folder.path("")};
  const auto found = noonfall_program(tarifa);
  CHECK(found.exit == 3);
  CHECK(has(found.err, "pipe.llb: it is a pipe"));
  const auto unnamed = noonfall_program(tarifa + "--limb-data ''");
  CHECK(unnamed.exit == 2);
  CHECK(has(unnamed.err, "--limb-data: the name is empty"));
  CHECK(noonfall_program(tarifa + "--limb-plot ''").exit == 2);
}

TEST_CASE("a list of sites has the times each site has by itself") {
  const auto strip = reference_file("limb/lunar_limb_16x16.llb");
  if (!strip) return;
  const ScratchFolder folder;
  const auto sites =
      folder.file("sites.csv",
                  "latitude,longitude,elevation_m\n36.0139,-5.6033,12\n48,2,0\n25.69,32.64,80\n"
                  "36.75,-5.6,10\n36.77,-5.6,10\n36.0,-5.6,0\n");
  const auto list = noonfall_program("contacts 2027-08-02 --sites " + sites + " --csv --limb-data " + *strip);
  REQUIRE(list.exit == 0);
  CHECK(has(list.err, "C2 and C3 with the lunar limb profile from " + *strip));
  const auto one = json_of(tarifa + "--limb-data " + *strip);
  const auto rows = list.out.substr(list.out.find('\n') + 1);
  const auto first = rows.substr(0, rows.find('\n'));
  CHECK(first.starts_with("total,"));
  for (const auto* name : {"C1", "C2", "MID", "C3", "C4"})
    CHECK(has(first, one["contacts"][name]["utc"].get<std::string>()));
  CHECK(std::count(rows.begin(), rows.end(), '\n') == 6);
}

TEST_CASE(
    "plans are checked and rehearsed by the edge's contacts, and the log says which and with which Sun") {
  const auto strip = reference_file("limb/lunar_limb_16x16.llb");
  if (!strip) return;
  const ScratchFolder folder;
  const std::string plan = std::string{NOONFALL_SOURCE} + "/plans/first-light.yaml";
  const auto header = [&](const std::string& name, const std::string& options) {
    const auto log = folder.path(name);
    const auto ran = noonfall_program("rehearse " + plan + " --log " + log + " " + options);
    INFO(ran.err);
    REQUIRE(ran.exit == 0);
    const auto text = text_of_file(log);
    return json::parse(text.substr(0, text.find('\n')));
  };
  const auto mean = header("mean.jsonl", "");
  CHECK(mean["limb"] == "mean");
  CHECK(mean["solar_radius_arcsec"] == 959.63);
  const auto profile = header("profile.jsonl", "--limb-data " + *strip);
  CHECK(profile["limb"] == "profile");
  CHECK(profile["solar_radius_arcsec"] == 959.95);
  CHECK(profile.contains("dut1_s"));
  CHECK(profile["contacts"]["C2"]["utc"] != mean["contacts"]["C2"]["utc"]);
  CHECK(profile["contacts"]["C2"]["uncertainty_s"] < mean["contacts"]["C2"]["uncertainty_s"]);
  CHECK(json_of("check " + plan)["limb"] == "mean");
  CHECK(json_of("check " + plan + " --limb-data " + *strip)["limb"] == "profile");
  CHECK(has(noonfall_program("check " + plan + " --limb-data " + *strip).out,
            "C2 and C3 with the lunar limb profile from " + *strip));
  CHECK(noonfall_program("check " + plan + " --limb profile").exit == 3);
}

TEST_CASE("a strip is built from the image a user downloads, and found damaged downloads are said") {
  const auto image = reference_file("limb/LDEM_4.IMG");
  const auto label = reference_file("limb/LDEM_4.LBL");
  if (!image || !label) return;
  const ScratchFolder folder;
  const auto out = folder.path("made.llb");
  const auto built = noonfall_program("limb build " + *image + " --out " + out);
  INFO(built.err);
  REQUIRE(built.exit == 0);
  CHECK(has(built.out, "1440 x 448 heights from 4 pixels a degree"));
  CHECK(json_of(tarifa + "--limb-data " + out)["limb"] == "profile");

  // the README's command on a machine where nothing of noonfall lies yet
  const Variable home{"XDG_DATA_HOME", folder.path("share")};
  const auto first =
      noonfall_program("limb build " + *image + " --out " + folder.path("share/noonfall/moon.llb"));
  CHECK(first.exit == 0);
  CHECK(json_of(tarifa)["limb"] == "profile");
  CHECK(noonfall_program("limb build " + *image + " --out " + folder.path("nowhere/moon.llb")).exit == 3);

  const auto fails = [&](const std::string& arguments, int exit, const std::string& message) {
    const auto other = folder.path("other.llb");
    const auto ran = noonfall_program("limb build " + arguments + " --out " + other);
    CHECK(ran.exit == exit);
    CHECK(ran.out.empty());
    CHECK(has(ran.err, message));
    CHECK_FALSE(std::filesystem::exists(other));
  };
  const auto again = noonfall_program("limb build " + *image + " --out " + out);
  CHECK(again.exit == 3);
  CHECK(has(again.err, out + " exists already"));
  const auto cut = folder.file("LDEM_4.IMG", bytes_of(*image).substr(0, 2'000'000));
  fails(cut, 3, "no label lies beside " + cut);
  fails(cut + " --label " + *label, 1,
        cut + " has 2000000 bytes where its label describes 2073600: the download is incomplete");
  const auto renamed = folder.file("LDEM_16.IMG", "");
  fails(renamed + " --label " + *label, 1, "the label is that of LDEM_4.IMG, not of LDEM_16.IMG");
  auto polar = bytes_of(*label);
  polar.replace(polar.find("SIMPLE CYLINDRICAL"), 18, "POLAR STEREOGRAPHIC");
  fails(*image + " --label " + folder.file("polar.lbl", polar), 1,
        "error: MAP_PROJECTION_TYPE is POLAR STEREOGRAPHIC");
  fails("/nonexistent.IMG --label " + *label, 3, "can't read /nonexistent.IMG");
  fails("/nonexistent.IMG", 3, "can't read /nonexistent.IMG");
}

TEST_CASE("a list of sites has the bend of light in its times where asked, with either edge") {
  const ScratchFolder folder;
  const auto strip = folder.file("made-up.llb", limb::to_bytes(smooth_strip(1737.4)));
  const auto sites = folder.file("sites.csv", "latitude,longitude,elevation_m\n40,-0.05,10\n43.5,3,0\n");
  for (const auto& edge : {std::string{"--limb mean"}, "--limb-data " + strip}) {
    CAPTURE(edge);
    const auto options = " --refraction " + edge;
    const auto list = noonfall_program("contacts 2026-08-12 --sites " + sites + " --csv" + options);
    REQUIRE(list.exit == 0);
    // the Sun stands 4 degrees high and less
    for (const auto* at : {"40,-0.05,10", "43.5,3,0"}) {
      const auto bent = json_of("contacts 2026-08-12 --at " + std::string{at} + options);
      const auto straight = json_of("contacts 2026-08-12 --at " + std::string{at} + " " + edge);
      CHECK(bent["contacts"]["MID"]["utc"] != straight["contacts"]["MID"]["utc"]);
      for (const auto& contact : bent["contacts"]) {
        if (!contact.is_null()) CHECK(has(list.out, contact["utc"].get<std::string>()));
      }
    }
  }
}
