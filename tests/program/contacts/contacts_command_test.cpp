#include <algorithm>
#include <cmath>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "lib/time/utc_text.h"
#include "tests/program/run_program.h"
#include "tests/unit/contacts/published_elements.h"

using namespace noonfall;
using namespace noonfall::tests;
using nlohmann::json;

namespace {

Ran noonfall_program(const std::string& arguments) {
  return run_program(NOONFALL_PROGRAM, arguments);
}

json json_of(const std::string& arguments) {
  const auto ran = noonfall_program(arguments + " --json");
  INFO(ran.err);
  REQUIRE(ran.exit == 0);
  return json::parse(ran.out);
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

double seconds_apart(const std::string& a, const std::string& b) {
  return std::abs(in_seconds(*parse_utc(a) - *parse_utc(b)));
}

}  // namespace

TEST_CASE("contacts --json has the shape and the values of the contract") {
  // Row R129 of tests/reference/contacts_public.csv, from JPL DE405.
  const auto found = json_of("contacts 2023-04-20 --at -21.933,114.128,10 --ellipsoidal --dut1 0");
  CHECK(found["eclipse"] == "2023-04-20");
  CHECK(found["kind"] == "total");
  CHECK(found["magnitude"].get<double>() == doctest::Approx(1.011718).epsilon(0.0003));
  CHECK(found["obscuration"] == 1.0);
  CHECK(found["totality_s"].get<double>() == doctest::Approx(56.620).epsilon(0.002));
  CHECK(found["dut1_s"] == 0.0);
  CHECK(found["delta_t_s"] == 69.184);
  CHECK(found["limb"] == "mean");
  CHECK(found["solar_radius_arcsec"] == 959.63);
  const auto& c2 = found["contacts"]["C2"];
  CHECK(seconds_apart(c2["utc"], "2023-04-20T03:29:49.133Z") < 0.1);
  CHECK(std::abs(c2["sun_altitude_deg"].get<double>() - 54.2428) < 0.01);
  CHECK(c2["sun_altitude_apparent_deg"].get<double>() > c2["sun_altitude_deg"].get<double>());
  CHECK(std::abs(c2["sun_azimuth_deg"].get<double>() - 22.4825) < 0.01);
  CHECK(std::abs(c2["position_angle_deg"].get<double>() - 19.922) < 0.2);
  CHECK(std::abs(c2["vertex_angle_deg"].get<double>() - 178.707) < 0.2);
  CHECK(c2["uncertainty_s"].get<double>() > 1);
  for (const auto* name : {"C1", "MID", "C3", "C4"}) CHECK(found["contacts"][name].is_object());
}

TEST_CASE("contacts that don't happen are null, and everything is where there is no eclipse") {
  const auto partial = json_of("contacts 2027-08-02 --at 48,2");
  CHECK(partial["kind"] == "partial");
  CHECK(partial["contacts"]["C2"].is_null());
  CHECK(partial["contacts"]["C3"].is_null());
  CHECK(partial["contacts"]["MID"].is_object());
  const auto none = json_of("contacts 2027-08-02 --at -70,151");
  CHECK(none["kind"] == "none");
  for (const auto* key : {"magnitude", "obscuration", "totality_s"}) CHECK(none[key].is_null());
  for (const auto* name : {"C1", "C2", "MID", "C3", "C4"}) CHECK(none["contacts"][name].is_null());
}

TEST_CASE("southern latitudes may follow --at with or without an equals sign") {
  const auto spaced = noonfall_program("contacts 2028-07-22 --at -33.4,151.2 --json");
  const auto joined = noonfall_program("contacts 2028-07-22 --at=-33.4,151.2 --json");
  CHECK(spaced.exit == 0);
  CHECK(spaced.out == joined.out);
  CHECK(has(spaced.out, "\"latitude_deg\": -33.4"));
}

TEST_CASE("the table says when, where to look, how sure, and what it rests on") {
  const auto ran =
      noonfall_program("contacts 2027-08-02 --at 36.0139,-5.6033,12 --dut1 0 --zone Europe/Madrid");
  REQUIRE(ran.exit == 0);
  CHECK(ran.err.empty());
  for (const auto* part :
       {"2027-08-02: total at 36.0139 N, 5.6033 W, 12 m", "local (CEST)", "C2  totality begins 08:45:09",
        "10:45:09", "Totality lasts 4 min 38.6 s", "Camera filter on outside totality", "mean limb",
        "UT1-UTC +0.000 s +- 0.02 s", "Delta T 69.184 s", "0.272488", "0.272281", "959.63\"",
        "elevation 12 m is 54.0 m above the ellipsoid (EGM96)", "refraction not in the times"}) {
    CAPTURE(part);
    CHECK(has(ran.out, part));
  }
  CHECK_FALSE(has(ran.out, "\x1b["));
}

TEST_CASE("without the grid of the geoid the elevation is taken as ellipsoidal, said so, and counted") {
  const std::string arguments = "contacts 2027-08-02 --at 36.0139,-5.6033,12 --explain";
  const auto ran = run_program(
      "/usr/bin/env", "PROJ_DATA=/nonexistent PROJ_LIB=/nonexistent " NOONFALL_PROGRAM " " + arguments);
  REQUIRE(ran.exit == 0);
  CHECK(ran.err.empty());
  CHECK(has(ran.out, "elevation taken as height above the ellipsoid: no EGM96 grid here"));
  CHECK(has(ran.out, "sea level taken for the ellipsoid, up to 60 m apart"));
  CHECK_FALSE(has(noonfall_program(arguments).out, "up to 60 m apart"));
  CHECK_FALSE(has(noonfall_program(arguments + " --ellipsoidal").out, "EGM96"));
}

TEST_CASE("a height above sea level and the same above the ellipsoid give the same contacts") {
  const auto sea = json_of("contacts 2027-08-02 --at 16.775833,-3.009444,260");
  // EGM96 at Timbuktu: 28.7068 m, GeoidEval(1)
  CHECK(std::abs(sea["site"]["geoid_m"].get<double>() - 28.7068) < 0.1);
  CHECK(std::abs(sea["site"]["ellipsoidal_height_m"].get<double>() - 288.7068) < 0.1);
  const auto ellipsoid = json_of("contacts 2027-08-02 --ellipsoidal --at 16.775833,-3.009444," +
                                 sea["site"]["ellipsoidal_height_m"].dump());
  CHECK(ellipsoid["site"]["geoid_m"].is_null());
  CHECK(ellipsoid["contacts"] == sea["contacts"]);
}

TEST_CASE("--explain shows every part at every contact, and what the user says counts") {
  const std::string arguments = "contacts 2027-08-02 --at 36.0139,-5.6033,12 --explain";
  const auto usual = noonfall_program(arguments).out;
  for (const auto* part : {"lunar limb", "radius of the Sun", "position within 30 m", "height within 50 m",
                           "UT1-UTC known to", "ephemeris", "together"}) {
    CAPTURE(part);
    CHECK(has(usual, part));
  }
  const auto rough = noonfall_program(arguments + " --position-error 5000 --elevation-error 300").out;
  CHECK(has(rough, "position within 5000 m"));
  CHECK(has(rough, "height within 300 m"));
}

TEST_CASE("a local day that isn't the eclipse's is marked") {
  const auto ran = noonfall_program("contacts 2028-07-22 --at -33.4,151.2 --zone America/Los_Angeles");
  CHECK(has(ran.out, " -1d"));
}

TEST_CASE("an annular or partial eclipse keeps the camera filter on throughout") {
  CHECK(has(noonfall_program("contacts 2027-08-02 --at 48,2").out, "filter stays on throughout"));
  CHECK(has(noonfall_program("contacts 2027-02-06 --at -31.1,-49.3").out, "filter stays on throughout"));
}

TEST_CASE("sunrise and sunset are shown and are data too, and under the midnight Sun there are none") {
  // To the minute as a general ephemeris library has them (tests/unit/contacts compares the instants).
  const auto shown = noonfall_program("contacts 2027-08-02 --at 36.0139,-5.6033,12").out;
  CHECK(has(shown, "Sunrise 05:30:"));
  CHECK(has(shown, ", sunset 19:26:"));
  const auto midsummer = noonfall_program("contacts 2026-08-12 --at 78.22,15.65");
  CHECK(has(midsummer.out, "The Sun is up all day.\n"));
  const auto data = json::parse(noonfall_program("contacts 2026-08-12 --at 78.22,15.65 --json").out);
  CHECK(data["sunrise_utc"].is_null());
  CHECK(data["sunset_utc"].is_null());
}

TEST_CASE("a date without eclipse offers the nearest ones") {
  const auto ran = noonfall_program("contacts 2027-08-03 --at 36,-5");
  CHECK(ran.exit == 1);
  CHECK(ran.err ==
        "noonfall: no solar eclipse on 2027-08-03 (UTC); nearest in the table: 2027-02-06 (annular), "
        "2027-08-02 (total), 2028-01-26 (annular)\n");
  CHECK(ran.out.empty());
}

TEST_CASE("a site off the globe gets one clear line") {
  const auto ran = noonfall_program("contacts 2027-08-02 --at 95,10");
  CHECK(ran.exit == 1);
  CHECK(ran.err == "noonfall: latitude 95 is off the globe; wanted -90 to 90\n");
}

TEST_CASE("command lines that can't be understood exit with 2") {
  for (const auto* arguments :
       {"contacts", "contacts 2027-08-02", "contacts 2.8.2027 --at 36,-5", "contacts 2027-08-02 --at Tarifa",
        "contacts 2027-08-02 --at 36,-5 --dut1 2", "contacts 2027-08-02 --at 36,-5 --position-error -1",
        "contacts 2027-08-02 --at 36,-5 --elevation-error 1km", "contacts 2027-08-02 --at 36,-5 --limb rough",
        "contacts 2027-08-02 --at 36,-5 --zone Madrid/Europe", "contacts 2027-08-02 --at 36,-5 --csv",
        "contacts 2027-08-02 --at 36,-5 --sites x.csv", "contacts 2027-08-02 --at 36,nan"}) {
    CAPTURE(arguments);
    const auto ran = noonfall_program(arguments);
    CHECK(ran.exit == 2);
    CHECK(ran.out.empty());
    CHECK_FALSE(ran.err.empty());
  }
}

TEST_CASE("files that can't be read exit with 3") {
  CHECK(noonfall_program("contacts 2027-08-02 --at 36,-5 --elements /nonexistent").exit == 3);
  CHECK(noonfall_program("contacts 2027-08-02 --sites /nonexistent --csv").exit == 3);
}

TEST_CASE("the table fits a terminal of 100 columns, with local times and a Sun that has set too") {
  const auto ran =
      noonfall_program("contacts 2028-01-26 --at 37,-5,12 --zone Europe/Madrid --explain --limb mean");
  CHECK(ran.out.find("Sun down\n") != std::string::npos);
  std::istringstream lines{ran.out};
  for (std::string line; std::getline(lines, line);) CHECK_MESSAGE(line.size() <= 100, line);
}

TEST_CASE("what is said of one site is refused for a list, not left out") {
  const ScratchFolder folder;
  const auto sites = folder.file("sites.csv", "latitude,longitude,elevation_m\n36,-5,0\n");
  for (const auto* option : {"--json", "--explain", "--zone Europe/Madrid", "--beads"}) {
    const auto ran = noonfall_program("contacts 2027-08-02 --csv --sites " + sites + " " + option);
    CHECK(ran.exit == 2);
    CHECK(ran.err ==
          "noonfall: --beads, --limb-plot, --json, --explain and --zone are for one site, not for --sites\n");
  }
}

TEST_CASE("--sites --csv prints one row a site, in order, the same as one by one") {
  const ScratchFolder folder;
  const auto sites =
      folder.file("sites.csv", "latitude,longitude,elevation_m\n36.0139,-5.6033,12\n-70,151,0\n48,2,35\n");
  const auto ran = noonfall_program("contacts 2027-08-02 --csv --sites " + sites);
  REQUIRE(ran.exit == 0);
  const auto total = json_of("contacts 2027-08-02 --at 36.0139,-5.6033,12");
  const auto utc = [&](const char* name) { return total["contacts"][name]["utc"].get<std::string>(); };
  CHECK(ran.out.starts_with("kind,c1,c2,mid,c3,c4,magnitude,obscuration\n"));
  const auto rows = ran.out.substr(ran.out.find('\n') + 1);
  const auto first = rows.substr(0, rows.find('\n'));
  CHECK(first == "total," + utc("C1") + "," + utc("C2") + "," + utc("MID") + "," + utc("C3") + "," +
                     utc("C4") + "," + fmt::format("{:.6f},1.000000", total["magnitude"].get<double>()));
  CHECK(has(ran.out, "\nnone,,,,,,,\npartial,2027-08-02T"));
  CHECK(std::count(rows.begin(), rows.end(), '\n') == 3);
}

TEST_CASE("errors in a list of sites have their place") {
  const ScratchFolder folder;
  const auto sites = folder.file("sites.csv", "latitude,longitude,elevation_m\n36,-5,12\n36,-500,12\n");
  const auto ran = noonfall_program("contacts 2027-08-02 --csv --sites " + sites);
  CHECK(ran.exit == 1);
  CHECK(ran.out.empty());
  CHECK(has(ran.err, "sites.csv:3:4: error: longitude is -500"));
}

TEST_CASE("--elements repeats a publication with its own constants") {
  // NASA/TP-2004-212762: greatest eclipse 10:12:22.6 TDT at 23 09.1 N, 16 44.9 E, Delta T 64.9 s.
  const ScratchFolder folder;
  const auto file = folder.file(
      "2006.csv", header_of_elements() + ",delta_t_s,k1,k2\n" + row_of(total_2006_march_29()) + "\n");
  const auto found = json_of("contacts 2006-03-29 --at 23.1517,16.7483 --elements " + file);
  CHECK(seconds_apart(found["contacts"]["MID"]["utc"], "2006-03-29T10:11:17.700Z") < 1);
  CHECK(found["delta_t_s"] == 64.9);
  CHECK(found["k1"] == 0.2725076);
  CHECK(noonfall_program("contacts 2006-03-29 --at 23,16 --dut1 0.1 --elements " + file).exit == 2);
  const auto broken = folder.file("broken.csv", "date,kind\n");
  const auto ran = noonfall_program("contacts 2006-03-29 --at 23,16 --elements " + broken);
  CHECK(ran.exit == 1);
  CHECK(has(ran.err, "broken.csv:1:6: error: column 2 is \"kind\""));
}

TEST_CASE("a gap in an element file is shown at its place and nothing is computed") {
  const ScratchFolder folder;
  auto row = row_of(total_2006_march_29());
  row.replace(row.find("0.0046593"), 9, "");
  const auto file = folder.file("gap.csv", header_of_elements() + ",delta_t_s,k1,k2\n" + row + "\n");
  const auto ran = noonfall_program("contacts 2006-03-29 --at 23,16 --elements " + file);
  CHECK(ran.exit == 1);
  CHECK(ran.out.empty());
  CHECK(ran.err.starts_with(file + ":2:66: error: tan_f2 is empty\n"));
  CHECK(ran.err.ends_with("  wanted: a number\n"));
  CHECK(std::count(ran.err.begin(), ran.err.end(), '\n') == 4);
}

TEST_CASE("a byte of an element file that isn't UTF-8 doesn't break the JSON") {
  const ScratchFolder folder;
  auto row = row_of(total_2006_march_29());
  const auto source = row.find(',', row.find(',') + 1) + 1;
  row.insert(source, "Z\xFCrich ");
  const auto file = folder.file("latin.csv", header_of_elements() + ",delta_t_s,k1,k2\n" + row + "\n");
  const auto found = json_of("contacts 2006-03-29 --at 23.1517,16.7483 --elements " + file);
  CHECK(found["kind"] == "total");
  CHECK(has(found["elements"].dump(), "rich"));
}

TEST_CASE("an eclipse before leap seconds is timed by the UTC of its day") {
  // Five Millennium Canon of Solar Eclipses: greatest eclipse of 1963 July 20 at 20:36:13 TD, Delta T 34.7 s
  // (from memory); TT - UTC by IERS 34.7 s too.
  const auto found = json_of("contacts 1963-07-20 --at 61.7,-119.6");
  CHECK(found["kind"] == "total");
  CHECK(std::abs(found["delta_t_s"].get<double>() - 34.7) < 0.2);
  CHECK(found["time_scale"] == "UT of the elements");
  CHECK(has(noonfall_program("eclipses --from 1963 --to 1963").out, "1963-07-20  total"));
  const auto list = json_of("eclipses --from 1963 --to 1963");
  for (const auto& each : list) {
    if (each["eclipse"] == "1963-07-20")
      CHECK(seconds_apart(each["greatest_utc"], "1963-07-20T20:35:38.300Z") < 2);
  }
}

TEST_CASE("eclipses lists what the table holds") {
  const auto ran = noonfall_program("eclipses --from 2027 --to 2027");
  CHECK(ran.exit == 0);
  CHECK(has(ran.out, "2027-02-06  annular"));
  CHECK(has(ran.out, "2027-08-02  total"));
  CHECK_FALSE(has(ran.out, "2028"));
  const auto list = json_of("eclipses");
  CHECK(list.size() == 224);
  // NASA Five Millennium Canon: greatest eclipse 2027 Aug 02 10:07:50 TDT; less 69.2 s.
  for (const auto& each : list) {
    if (each["eclipse"] == "2027-08-02")
      CHECK(seconds_apart(each["greatest_utc"], "2027-08-02T10:06:40.800Z") < 1);
  }
  CHECK(noonfall_program("eclipses --from 2100").exit == 1);
  const auto before = noonfall_program("eclipses --to 1959");
  CHECK(before.exit == 1);
  CHECK(before.err == "noonfall: no eclipse in those years; the table runs from 1960-03-27 to 2060-10-24\n");
}
