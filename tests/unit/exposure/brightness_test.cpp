#include "lib/exposure/brightness.h"

#include <cmath>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "lib/exposure/scale.h"
#include "tests/source_folder.h"

using namespace noonfall;
using namespace noonfall::exposure;

namespace {

std::vector<std::string> cells(const std::string& line) {
  std::vector<std::string> found;
  std::istringstream row{line};
  for (std::string cell; std::getline(row, cell, ',');) found.push_back(cell);
  return found;
}

struct PrintedRow {
  std::string name;
  double q = 0;
  std::vector<std::string> columns;
};

struct PrintedTable {
  std::map<int, std::vector<std::string>> f_numbers;  // by ISO
  std::vector<PrintedRow> rows;
};

PrintedTable printed_table() {
  std::ifstream file{NOONFALL_SOURCE "/tests/reference/exposure_rp1369_table16.csv"};
  REQUIRE(file.is_open());
  PrintedTable table;
  for (std::string line; std::getline(file, line);) {
    if (line.starts_with('#') || line.starts_with("row,")) continue;
    auto row = cells(line);
    const std::vector<std::string> columns{row.begin() + 2, row.end()};
    if (row[0].starts_with("ISO ")) {
      table.f_numbers[std::stoi(row[0].substr(4))] = columns;
    } else {
      table.rows.push_back({row[0], std::stod(row[1]), columns});
    }
  }
  return table;
}

double printed_seconds(const std::string& cell) {
  return cell.starts_with("1/") ? 1 / std::stod(cell.substr(2)) : std::stod(cell);
}

BrightnessRange brightness_named(const std::string& name) {
  constexpr std::string_view filtered = "photosphere density ";
  const bool sun = name.starts_with(filtered);
  const auto subject = sun ? Subject{SubjectKind::photosphere} : parse_subject(name);
  REQUIRE(subject);
  const auto found = brightness_of(*subject, sun ? std::stod(name.substr(filtered.size())) : 0);
  REQUIRE(found);
  return *found;
}

double stops(double a, double b) {
  return std::log2(a / b);
}

}  // namespace

// NASA RP 1369, Table 16. The printed times are the formula's shortened by 0.3 to 0.4 stop and put on
// full-stop speeds, so a cell is met within half a stop and the formula, from the printed numbers, within a
// sixth.
TEST_CASE("every printed cell of the published table is met") {
  const auto table = printed_table();
  int cells_met = 0;
  for (const auto& row : table.rows) {
    const auto brightness = brightness_named(row.name);
    CAPTURE(row.name);
    CHECK(brightness.basis == Basis::table_row);
    CHECK(brightness.middle().q == row.q);
    for (const auto& [iso, f_numbers] : table.f_numbers) {
      for (std::size_t column = 0; column < row.columns.size(); ++column) {
        if (row.columns[column].empty()) continue;
        const double n = std::stod(f_numbers[column]);
        CAPTURE(iso);
        CAPTURE(n);
        const FNumber aperture{static_cast<std::int32_t>(std::lround(n * 10))};
        const double ours = ideal_seconds(brightness.middle(), aperture, Iso{iso}).value;
        CHECK(std::abs(stops(ours, n * n / (iso * std::exp2(row.q)))) < 1.0 / 6);
        CHECK(std::abs(stops(ours, printed_seconds(row.columns[column]))) < 0.5);
        ++cells_met;
      }
    }
  }
  CHECK(table.rows.size() == 12);
  CHECK(cells_met == 7 * (12 * 9 - 11));  // eleven dashes
}

TEST_CASE("the diamond ring has the row of the corona at 0.2 radii") {  // note 3 of Table 16
  CHECK(brightness_of({SubjectKind::diamond_ring}, 0)->middle() ==
        brightness_of({SubjectKind::corona, 0.2, 0.2}, 0)->middle());
}

TEST_CASE("a filter between the printed densities is on the line between them, others cost log2 10 a unit") {
  const auto q = [](double density) {
    return brightness_of({SubjectKind::photosphere}, density)->middle().q;
  };
  CHECK(q(4.5) == doctest::Approx(9.5));
  CHECK(brightness_of({SubjectKind::photosphere}, 4.5)->basis == Basis::between_rows);
  CHECK(q(3.8) == doctest::Approx(11 + 0.2 * 3.321928));
  CHECK(q(6) == doctest::Approx(8 - 3.321928));
  CHECK(q(0) == doctest::Approx(11 + 4 * 3.321928));
  CHECK(brightness_of({SubjectKind::photosphere}, 3.8)->basis == Basis::beyond_rows);
}

TEST_CASE("a denser filter and a greater height never ask for less exposure") {
  double last = 100;
  for (double density = 0; density <= 8; density += 0.05) {
    const double q = brightness_of({SubjectKind::photosphere}, density)->middle().q;
    CHECK(q < last);
    last = q;
  }
  last = 100;
  for (double radii = 0.05; radii <= 20; radii *= 1.05) {
    const double q = brightness_of({SubjectKind::corona, radii, radii}, 0)->middle().q;
    CHECK(q <= last);
    last = q;
  }
}

TEST_CASE("the corona between printed heights is on the line over log height") {
  const auto at = [](double radii) { return *brightness_of({SubjectKind::corona, radii, radii}, 0); };
  CHECK(at(std::sqrt(0.5)).middle().q == doctest::Approx(2));
  CHECK(at(std::sqrt(32.0)).middle().q == doctest::Approx(-2));
  CHECK(at(3).basis == Basis::between_rows);
}

TEST_CASE("past the printed heights the corona keeps its slope inside and the last row outside") {
  const auto at = [](double radii) { return *brightness_of({SubjectKind::corona, radii, radii}, 0); };
  CHECK(at(0.05).middle().q == doctest::Approx(9));  // as bright as prominences
  CHECK(at(20).middle().q == -3);
  CHECK(at(0.05).basis == Basis::beyond_rows);
  CHECK(at(20).basis == Basis::beyond_rows);
}

TEST_CASE("a range of heights runs from its brightest to its faintest") {
  const auto range = *brightness_of({SubjectKind::corona, 0.1, 4}, 0);
  CHECK(range.brightest.q == 7);
  CHECK(range.faintest.q == -1);
  CHECK(range.middle().q == 3);
  CHECK(range.basis == Basis::table_row);
  CHECK(brightness_of({SubjectKind::corona, 0.1, 3}, 0)->basis == Basis::between_rows);
}

TEST_CASE("earthshine takes 1 to 4 s at f/8 ISO 400 and says that this has no source") {
  const auto earthshine = *brightness_of({SubjectKind::earthshine}, 0);
  const double s = ideal_seconds(earthshine.middle(), {80}, {400}).value;
  CHECK(s > 1);
  CHECK(s < 4);
  CHECK(earthshine.basis == Basis::common_practice);
}

TEST_CASE("a landscape has no published brightness") {
  CHECK_FALSE(brightness_of({SubjectKind::landscape}, 0));
}

TEST_CASE("the filtered Sun at f/8 ISO 400 through density 5 is within a stop of 1/1000") {
  // Common practice, no source.
  const auto q = brightness_of({SubjectKind::photosphere}, 5)->middle();
  CHECK(std::abs(stops(ideal_seconds(q, {80}, {400}).value, exact_seconds({1, 1000}))) < 1);
  // Through density 4 the same setting is far too long: the density matters.
  const auto thin = brightness_of({SubjectKind::photosphere}, 4)->middle();
  CHECK(stops(exact_seconds({1, 1000}), ideal_seconds(thin, {80}, {400}).value) > 3);
}
