#include <algorithm>

#include <doctest/doctest.h>

#include "lib/contacts/circumstances.h"
#include "lib/contacts/element_table.h"
#include "tests/unit/contacts/published_elements.h"

using namespace noonfall;
using namespace noonfall::contacts;
using namespace noonfall::tests;

namespace {

std::string errors_of(const std::string& text) {
  const auto table = parse_elements(text, "mine.csv");
  return table ? "" : to_text(table.error());
}

std::string with_row(const std::string& row) {
  return header_of_elements() + ",delta_t_s,k1,k2\n" + row + "\n";
}

std::string replaced(std::string text, const std::string& what, const std::string& by) {
  const auto at = text.find(what);
  REQUIRE(at != std::string::npos);
  return text.replace(at, what.size(), by);
}

}  // namespace

TEST_CASE("the built-in table has every solar eclipse from 2017 to 2060, in order") {
  const auto table = built_in_elements();
  // Five Millennium Canon of Solar Eclipses, NASA/TP-2006-214141: 99 eclipses in these years, counted there.
  CHECK(table.size() == 99);
  CHECK(to_text(table.front().date) == "2017-02-26");
  CHECK(to_text(table.back().date) == "2060-10-24");
  CHECK(std::is_sorted(table.begin(), table.end(),
                       [](const auto& a, const auto& b) { return a.date < b.date; }));
  for (const auto& each : table) {
    CAPTURE(to_text(each.date));
    CHECK(Date{std::chrono::floor<std::chrono::days>(to_utc(each.greatest(), built_in_leap_seconds()))} ==
          each.date);
  }
}

TEST_CASE("an eclipse is found by its date, and a wrong date has neighbours") {
  const auto table = built_in_elements();
  REQUIRE(find_elements(table, *parse_date("2027-08-02")) != nullptr);
  CHECK(find_elements(table, *parse_date("2027-08-02"))->type == EclipseType::total);
  CHECK(find_elements(table, *parse_date("2027-08-03")) == nullptr);
  const auto near = nearest_eclipses(table, *parse_date("2027-08-03"), 2);
  REQUIRE(near.size() == 2);
  CHECK(to_text(near[0]) == "2027-08-02");
  CHECK(to_text(near[1]) == "2028-01-26");
  CHECK(nearest_eclipses(table, *parse_date("1950-01-01"), 1).front() == table.front().date);
  CHECK(nearest_eclipses(table, *parse_date("2027-08-03"), 500).size() == 99);
}

TEST_CASE("a table keeps its own constants, whatever the order of their columns") {
  const auto published = row_of(total_2006_march_29());
  const auto swapped = published.substr(0, published.rfind(",64.9,")) + ",0.272281,64.9,0.2725076";
  const auto table = parse_elements(
      "\xEF\xBB\xBF" + header_of_elements() + ",k2,delta_t_s,k1\r\n" + swapped + "\r\n\r\n", "mine.csv");
  REQUIRE(table);
  CHECK(table->front() == as_user_file(total_2006_march_29()));
  CHECK(table->front().delta_t == from_seconds(64.9));
  CHECK(table->front().k1 == 0.2725076);
}

TEST_CASE("times from elements with their own Delta T are their UT") {
  const auto elements = as_user_file(total_2006_march_29());
  Settings settings;
  settings.dut1 = from_seconds(0.5);
  const auto found = circumstances(elements, {{23.15}, {16.75}, {0}}, settings);
  CHECK(found.delta_t == from_seconds(64.9));
  CHECK(found.dut1 == Duration{});
}

TEST_CASE("a wrong header is shown where it goes wrong") {
  CHECK(errors_of("") ==
        "mine.csv:1:1: error: the table is empty\n"
        "  wanted: the header of elements.csv\n");
  CHECK(errors_of("date,type,origin\n") ==
        "mine.csv:1:11: error: column 3 is \"origin\"\n"
        "    1 | date,type,origin\n"
        "      |           ^\n"
        "  wanted: source\n");
  CHECK(errors_of("date,type\n") ==
        "mine.csv:1:10: error: the header ends after 2 columns\n"
        "    1 | date,type\n"
        "      |          ^\n"
        "  wanted: source next\n");
  CHECK(errors_of(header_of_elements() + ",k3\n").find("unknown column \"k3\"") != std::string::npos);
  CHECK(errors_of(header_of_elements() + ",k1,k1\n").find("column \"k1\" for the second time") !=
        std::string::npos);
  CHECK(errors_of(header_of_elements() + "\n").find("no eclipse below the header") != std::string::npos);
}

TEST_CASE("every wrong cell of every row is reported with its place") {
  const auto good = row_of(total_2006_march_29());
  const auto bad =
      replaced(replaced(replaced(good, "2006-03-29", "29.3.2006"), ",T,", ",X,"), "0.0046593", "");
  const auto text = errors_of(with_row(good + "\n" + bad));
  CHECK(text.find("mine.csv:3:1: error: date is \"29.3.2006\"") != std::string::npos);
  CHECK(text.find("mine.csv:3:11: error: type is \"X\"") != std::string::npos);
  CHECK(text.find("error: tan_f2 is empty") != std::string::npos);
}

TEST_CASE("numbers may be scientific but must be numbers within reason") {
  const auto good = row_of(total_2006_march_29());
  CHECK(errors_of(with_row(replaced(good, "1.81e-05", "+0.181E-4"))) == "");
  CHECK(errors_of(with_row(replaced(good, "1.81e-05", "1.81e-05x"))).find("x2 is \"1.81e-05x\"") !=
        std::string::npos);
  CHECK(errors_of(with_row(replaced(good, "1.81e-05", "nan"))).find("x2 is \"nan\"") != std::string::npos);
  CHECK(errors_of(with_row(replaced(good, "1.81e-05", "0.181"))).find("wanted: -0.001 to 0.001") !=
        std::string::npos);
  CHECK(errors_of(with_row(good + ",1")).find("48 cells\n") != std::string::npos);
  CHECK(errors_of(with_row(good + "\n" + good)).find("mine.csv:3:1: error: 2006-03-29 for the second time") !=
        std::string::npos);
}
