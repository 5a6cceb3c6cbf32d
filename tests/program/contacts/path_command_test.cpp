#include <algorithm>
#include <cmath>
#include <sstream>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "tests/program/run_program.h"
#include "tests/unit/contacts/reference_table.h"

using namespace noonfall;
using namespace noonfall::tests;
using nlohmann::json;

namespace {

Ran noonfall_program(const std::string& arguments) {
  return run_program(NOONFALL_PROGRAM, arguments);
}

std::vector<reference::Row> rows_of(const std::string& arguments) {
  const auto ran = noonfall_program(arguments);
  REQUIRE(ran.exit == 0);
  CHECK(ran.err.empty());
  std::istringstream lines{ran.out};
  std::string line;
  std::getline(lines, line);
  const auto header = reference::split(line);
  std::vector<reference::Row> rows;
  while (std::getline(lines, line)) {
    const auto cells = reference::split(line);
    REQUIRE(cells.size() == header.size());
    reference::Row row;
    for (std::size_t n = 0; n < header.size(); ++n) row[header[n]] = cells[n];
    rows.push_back(row);
  }
  return rows;
}

json map_of(const std::string& date) {
  const auto ran = noonfall_program("path " + date + " --geojson");
  REQUIRE(ran.exit == 0);
  return json::parse(ran.out);
}

/// RFC 7946: 3.1.1 positions, 3.1.4 and 3.1.5 lines, 3.1.9 the antimeridian, 3.2 features, 3.3 collections.
void check_line(const json& positions) {
  REQUIRE(positions.is_array());
  CHECK(positions.size() >= 2);
  double before = positions[0][0];
  for (const auto& position : positions) {
    REQUIRE(position.size() == 2);
    const double longitude = position[0];
    const double latitude = position[1];
    CHECK(std::abs(longitude) <= 180);
    CHECK(std::abs(latitude) <= 90);
    CHECK(std::abs(longitude - before) < 180);
    before = longitude;
  }
}

void check_feature(const json& feature) {
  CHECK(feature["type"] == "Feature");
  CHECK(feature["properties"].is_object());
  const auto& geometry = feature["geometry"];
  const auto& coordinates = geometry["coordinates"];
  if (geometry["type"] == "LineString") return check_line(coordinates);
  REQUIRE(geometry["type"] == "MultiLineString");
  REQUIRE(coordinates.size() >= 2);
  for (std::size_t n = 0; n < coordinates.size(); ++n) {
    check_line(coordinates[n]);
    if (n == 0) continue;
    const json end = coordinates[n - 1].back();
    const json start = coordinates[n].front();
    CHECK(std::abs(end[0].get<double>()) == 180);
    CHECK(end[0].get<double>() == -start[0].get<double>());
    CHECK(end[1] == start[1]);
  }
}

}  // namespace

TEST_CASE("path --csv has NASA's path of 2027 in it") {
  // Five Millennium Canon, NASA/TP-2006-214141: greatest eclipse 10:07:50 TDT (10:06:41 UTC now) at 25.5 N,
  // 33.2 E for Delta T 76.0 s, so 0.03 degrees farther east today; 6m23s, 257.7 km, Sun 81.7 degrees up.
  const auto rows = rows_of("path 2027-08-02 --csv --step 1 --dut1 0");
  const auto at = std::find_if(rows.begin(), rows.end(),
                               [](const auto& row) { return row.at("utc") == "2027-08-02T10:06:41.000Z"; });
  REQUIRE(at != rows.end());
  CHECK(std::abs(std::stod(at->at("centre_latitude")) - 25.5) < 0.06);
  CHECK(std::abs(std::stod(at->at("centre_longitude")) - 33.2) < 0.09);
  CHECK(at->at("kind") == "total");
  CHECK(std::abs(std::stod(at->at("duration_s")) - 383) < 1);
  CHECK(std::abs(std::stod(at->at("width_km")) - 257.7) < 1);
  CHECK(std::abs(std::stod(at->at("sun_altitude_deg")) - 81.7) < 0.1);
  CHECK(std::stod(at->at("north_latitude")) > std::stod(at->at("centre_latitude")));
  CHECK(std::stod(at->at("south_latitude")) < std::stod(at->at("centre_latitude")));
}

TEST_CASE("lines of the CSV run in time and leave empty what isn't on the Earth") {
  for (const auto* date : {"2026-08-12", "2031-11-14", "2024-10-02"}) {
    CAPTURE(date);
    const auto rows = rows_of(std::string{"path "} + date + " --csv --step 300");
    REQUIRE(rows.size() > 10);
    for (std::size_t n = 1; n < rows.size(); ++n) CHECK(rows[n - 1].at("utc") < rows[n].at("utc"));
    for (const auto& row : rows) CHECK(row.at("centre_latitude").empty() == row.at("kind").empty());
    CHECK(rows.front().at("kind").empty());  // a limit meets the Earth first
  }
}

TEST_CASE("a hybrid eclipse is annular at its ends and total between") {
  const auto rows = rows_of("path 2031-11-14 --csv");
  std::string kinds;
  for (const auto& row : rows) {
    if (!row.at("kind").empty() && !kinds.ends_with(row.at("kind"))) kinds += " " + row.at("kind");
  }
  CHECK(kinds == " annular total annular");
}

TEST_CASE("path --geojson is what RFC 7946 asks for") {
  // over the pole, over the antimeridian, a hybrid over it too, an annular one
  for (const auto* date : {"2026-08-12", "2035-09-02", "2031-11-14", "2024-10-02"}) {
    CAPTURE(date);
    const auto map = map_of(date);
    CHECK(map["type"] == "FeatureCollection");
    REQUIRE(map["features"].size() == 3);
    for (const auto& feature : map["features"]) check_feature(feature);
    CHECK(map["features"][1]["properties"]["name"] == "centre line");
    CHECK(map["features"][1]["properties"]["eclipse"] == date);
  }
  const auto across = map_of("2035-09-02");
  for (const auto& feature : across["features"]) CHECK(feature["geometry"]["type"] == "MultiLineString");
}

TEST_CASE("an eclipse whose axis misses the Earth has one limit and no centre line") {
  const auto map = map_of("2043-10-03");
  REQUIRE(map["features"].size() == 1);
  check_feature(map["features"][0]);
}

TEST_CASE("an eclipse that is partial everywhere has no path, and the command line is held to its words") {
  const auto partial = noonfall_program("path 2025-03-29 --csv");
  CHECK(partial.exit == 1);
  CHECK(partial.out.empty());
  CHECK(
      partial.err ==
      "noonfall: the eclipse of 2025-03-29 is partial everywhere: the umbra misses the Earth, so there is no "
      "path\n");
  for (const auto* arguments : {"path 2027-08-02", "path 2027-08-02 --csv --geojson", "path soon --csv",
                                "path 2027-08-02 --csv --step 0", "path 2027-08-02 --csv --dut1 3"}) {
    CAPTURE(arguments);
    CHECK(noonfall_program(arguments).exit == 2);
  }
  CHECK(noonfall_program("path 2027-08-03 --csv").exit == 1);
}

TEST_CASE("contacts says where the site is on the path") {
  const auto ran = noonfall_program("contacts 2027-08-02 --at 36.0139,-5.6033,12 --limb mean --json");
  REQUIRE(ran.exit == 0);
  const auto path = json::parse(ran.out)["path"];
  CHECK(path["inside"] == true);
  CHECK(path["certain"] == true);
  CHECK(path["nearer_limit"]["side"] == "north");
  CHECK(path["centre_line"]["duration_s"].get<double>() > path["duration_s"].get<double>());
  // going the way it says for a kilometre brings what it says
  const double gain = path["gain"]["s_per_km"];
  const double azimuth = path["gain"]["azimuth_deg"].get<double>() * 3.14159265 / 180;
  const auto moved = noonfall_program("contacts 2027-08-02 --limb mean --json --at " +
                                      std::to_string(36.0139 + std::cos(azimuth) / 110.95) + "," +
                                      std::to_string(-5.6033 + std::sin(azimuth) / 90.17) + ",12");
  const double longer = json::parse(moved.out)["path"]["duration_s"].get<double>();
  CHECK(longer - path["duration_s"].get<double>() == doctest::Approx(gain).epsilon(0.05));
  // and so does the distance to the limit
  const double nearer = json::parse(moved.out)["path"]["nearer_limit"]["distance_km"].get<double>();
  CHECK(nearer - path["nearer_limit"]["distance_km"].get<double>() == doctest::Approx(1).epsilon(0.02));
}

TEST_CASE("near a limit a plain sentence says that totality can't be promised") {
  // On either side of the northern limit of 2027, 36.7668 N at 5.64 W.
  const auto inside = noonfall_program("contacts 2027-08-02 --at 36.755,-5.6421 --limb mean").out;
  CHECK(inside.find("km inside the path; nearer limit: northern") != std::string::npos);
  CHECK(inside.find("whether totality happens here can't be told") != std::string::npos);
  const auto outside = noonfall_program("contacts 2027-08-02 --at 36.780,-5.6421 --limb mean").out;
  CHECK(outside.find("km outside the path; nearer limit: northern") != std::string::npos);
  CHECK(outside.find("whether totality happens here can't be told") != std::string::npos);
  const auto far = noonfall_program("contacts 2027-08-02 --at 37.2,-5.6421 --limb mean").out;
  CHECK(far.find("there is no totality here") != std::string::npos);
  CHECK(noonfall_program("contacts 2027-08-02 --at 60,20 --limb mean").out.find("limit") ==
        std::string::npos);
  CHECK(noonfall_program("contacts 2025-03-29 --at 50,0 --limb mean").out.find("limit") == std::string::npos);
}
