// The calendar against RFC 5545.
#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "daemon/cli/contacts_output.h"
#include "lib/contacts/circumstances.h"

namespace noonfall::cli {
namespace {

/// 3.1: lines end with CRLF, and one that begins with a space goes on with the one before.
std::vector<std::string> content_lines(const std::string& text) {
  std::vector<std::string> lines;
  std::size_t from = 0;
  for (auto end = text.find("\r\n"); end != std::string::npos; end = text.find("\r\n", from)) {
    const auto line = text.substr(from, end - from);
    CHECK(line.size() <= 75);
    CHECK(line.find('\n') == std::string::npos);
    if (line.starts_with(' '))
      lines.back() += line.substr(1);
    else
      lines.push_back(line);
    from = end + 2;
  }
  CHECK(from == text.size());
  return lines;
}

std::size_t count(const std::vector<std::string>& lines, const std::string& line) {
  return static_cast<std::size_t>(std::count(lines.begin(), lines.end(), line));
}

}  // namespace

TEST_CASE("each contact is an event with the properties the standard wants, and an alarm") {
  const auto& elements =
      *contacts::find_elements(contacts::built_in_elements(), {std::chrono::year{2027} / 8 / 2});
  const auto sky = contacts::circumstances(elements, {{36.0139}, {-5.6033}, {12}});
  const auto stamp = *parse_utc("2027-01-01T00:00:00Z");
  const auto lines = content_lines(contacts_ics(sky, stamp));
  CHECK(lines.front() == "BEGIN:VCALENDAR");
  CHECK(lines[1] == "VERSION:2.0");
  CHECK(lines[2].starts_with("PRODID:"));
  CHECK(lines.back() == "END:VCALENDAR");
  CHECK(count(lines, "BEGIN:VEVENT") == 5);
  CHECK(count(lines, "END:VEVENT") == 5);
  CHECK(count(lines, "BEGIN:VALARM") == 5);
  CHECK(count(lines, "DTSTAMP:20270101T000000Z") == 5);  // 3.6.1: required, UTC
  CHECK(count(lines, "SUMMARY:C2: totality begins") == 1);
  // C2 08:45:09.x UTC at this place
  CHECK(count(lines, "DTSTART:20270802T084510Z") + count(lines, "DTSTART:20270802T084509Z") == 1);
  CHECK(count(lines, "TRIGGER:-PT5M") == 5);
}

TEST_CASE("a cue is an event with an alarm at its instant, its text escaped, and none takes a filter off") {
  const auto& elements =
      *contacts::find_elements(contacts::built_in_elements(), {std::chrono::year{2027} / 8 / 2});
  const auto sky = contacts::circumstances(elements, {{36.0139}, {-5.6033}, {12}});
  const auto at = *parse_utc("2027-08-02T08:40:00Z");
  const std::vector<timeline::Cue> cues{{at, "Five minutes; look up, all", timeline::CueKind::spoken, 0},
                                        {at, "Camera filter off", timeline::CueKind::filter_off, 0},
                                        {at, "Camera filter back on", timeline::CueKind::filter_on, 0}};
  const auto lines = content_lines(contacts_ics(sky, {}, cues));
  CHECK(count(lines, "BEGIN:VEVENT") == 7);
  CHECK(count(lines, "SUMMARY:Five minutes\\; look up\\, all") == 1);  // 3.3.11
  CHECK(count(lines, "TRIGGER:PT0S") == 2);
  CHECK(count(lines, "SUMMARY:Camera filter back on") == 1);
  CHECK(count(lines, "SUMMARY:Camera filter off") == 0);
}

TEST_CASE("a partial eclipse has three contacts") {
  const auto& elements =
      *contacts::find_elements(contacts::built_in_elements(), {std::chrono::year{2027} / 8 / 2});
  const auto sky = contacts::circumstances(elements, {{51.48}, {0}, {40}});
  CHECK(count(content_lines(contacts_ics(sky, {})), "BEGIN:VEVENT") == 3);
}

}  // namespace noonfall::cli
