#include <algorithm>
#include <map>

#include <doctest/doctest.h>

#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
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

TEST_CASE("the built-in table has every solar eclipse from 1960 to 2060, in order") {
  const auto table = built_in_elements();
  CHECK(table.size() == 224);
  CHECK(to_text(table.front().date) == "1960-03-27");
  CHECK(to_text(table.back().date) == "2060-10-24");
  CHECK(std::is_sorted(table.begin(), table.end(),
                       [](const auto& a, const auto& b) { return a.date < b.date; }));
  for (const auto& each : table) {
    CAPTURE(to_text(each.date));
    CHECK(Date{std::chrono::floor<std::chrono::days>(to_utc(each.greatest(), built_in_leap_seconds()))} ==
          each.date);
  }
}

TEST_CASE("years have as many eclipses as the canon gives them, and the hybrids are its hybrids") {
  // Five Millennium Canon of Solar Eclipses, NASA/TP-2006-214141: two to four a year here, its years of four
  // and its hybrids (from memory).
  std::map<int, int> of_year;
  std::vector<std::string> hybrids;
  for (const auto& each : built_in_elements()) {
    ++of_year[static_cast<int>(each.date.year())];
    if (each.type == EclipseType::hybrid) hybrids.push_back(to_text(each.date));
  }
  std::vector<int> years_of_four;
  for (int year = 1960; year <= 2060; ++year) {
    CAPTURE(year);
    CHECK(of_year[year] >= 2);
    CHECK(of_year[year] <= 4);
    if (of_year[year] == 4) years_of_four.push_back(year);
  }
  CHECK(years_of_four == std::vector<int>{1964, 1982, 2000, 2011, 2029, 2047});
  CHECK(hybrids == std::vector<std::string>{"1986-10-03", "1987-03-29", "2005-04-08", "2013-11-03",
                                            "2023-04-20", "2031-11-14", "2049-11-25", "2050-05-20"});
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
  CHECK(nearest_eclipses(table, *parse_date("2100-01-01"), 1).front() == table.back().date);
  CHECK(nearest_eclipses(table, *parse_date("2027-08-03"), 500).size() == table.size());
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

TEST_CASE("a gap in a table is one error at its place") {
  const auto first = row_of(total_1999_august_11());
  const auto second = row_of(total_2006_march_29());
  SUBCASE("a cell without its number") {
    CHECK(errors_of(with_row("2006-03-29,T,mine,10,0.38433,,1")) ==
          "mine.csv:2:32: error: the row has 7 cells\n"
          "    2 | 2006-03-29,T,mine,10,0.38433,,1\n"
          "      |                                ^\n"
          "  wanted: 47, as in the header\n");
    const auto text = errors_of(with_row(replaced(second, ",10.2062694,", ",,")));
    CHECK(text.starts_with("mine.csv:2:45: error: greatest_tt_h is empty\n"));
    CHECK(text.ends_with("  wanted: a number\n"));
    CHECK(std::count(text.begin(), text.end(), '\n') == 4);
  }
  SUBCASE("a row without one of its cells") {
    const auto text = errors_of(with_row(replaced(second, ",10.2062694,", ",")));
    CHECK(text.starts_with("mine.csv:2:"));
    CHECK(text.find("error: the row has 46 cells\n") != std::string::npos);
    CHECK(text.ends_with("  wanted: 47, as in the header\n"));
    CHECK(std::count(text.begin(), text.end(), '\n') == 4);
  }
  SUBCASE("a header without one of its columns") {
    const auto text = errors_of(replaced(header_of_elements(), ",x3,", ",") + "\n" + second + "\n");
    CHECK(text.starts_with("mine.csv:1:72: error: column 12 is \"x4\"\n"));
    CHECK(text.ends_with("  wanted: x3\n"));
    CHECK(std::count(text.begin(), text.end(), '\n') == 4);
  }
  SUBCASE("rows that don't follow each other") {
    CHECK(errors_of(with_row(first + "\n" + second)) == "");
    const auto text = errors_of(with_row(second + "\n" + first));
    CHECK(text.starts_with("mine.csv:3:1: error: 1999-08-11 below 2006-03-29\n"));
    CHECK(text.ends_with("  wanted: the oldest eclipse first\n"));
    CHECK(std::count(text.begin(), text.end(), '\n') == 4);
  }
  SUBCASE("a date twice") {
    const auto text = errors_of(with_row(second + "\n" + second));
    CHECK(text.starts_with("mine.csv:3:1: error: 2006-03-29 for the second time\n"));
    CHECK(text.ends_with("  wanted: one row for each eclipse\n"));
  }
}

TEST_CASE("lines that begin with # are comments, and lines are counted with them") {
  const auto row = row_of(total_2006_march_29());
  const auto table =
      parse_elements("# whose\n" + with_row("  # of what, when\n" + row + "\n# the end"), "mine.csv");
  REQUIRE(table);
  CHECK(table->size() == 1);
  CHECK(errors_of("# whose\n" + with_row("# one\n" + replaced(row, ",T,", ",X,")))
            .starts_with("mine.csv:4:12: error: type is \"X\"\n"));
  CHECK(errors_of("# nothing else").starts_with("mine.csv:1:1: error: the table is empty\n"));
}

TEST_CASE("numbers may be scientific but must be numbers within reason") {
  const auto good = row_of(total_2006_march_29());
  CHECK(errors_of(with_row(replaced(good, "1.81e-05", "+0.181E-4"))) == "");
  CHECK(errors_of(with_row(replaced(good, "1.81e-05", "1.81e-05x"))).find("x2 is \"1.81e-05x\"") !=
        std::string::npos);
  CHECK(errors_of(with_row(replaced(good, "1.81e-05", "nan"))).find("x2 is \"nan\"") != std::string::npos);
  CHECK(errors_of(with_row(replaced(good, "1.81e-05", "0.181"))).find("wanted: -0.001 to 0.001") !=
        std::string::npos);
  CHECK(errors_of(with_row(good + ",1")).find("the row has 48 cells\n") != std::string::npos);
  CHECK(errors_of(with_row(good + "\n" + good)).find("mine.csv:3:1: error: 2006-03-29 for the second time") !=
        std::string::npos);
}
