// The page and the object against the account that they are made of: no golden text. xmllint (Debian) judges
// whether the page is well formed.
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "lib/report/report.h"
#include "tests/unit/report/hand_made_log.h"

using namespace noonfall;
using namespace noonfall::report;
using order::Outcome;

namespace {

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::string figure(int number, const std::string& words) {
  return "<b>" + std::to_string(number) + "</b><span>" + words + "</span>";
}

/// Markup that would do something, what commands a terminal, what hides, what XML 1.0 forbids, no UTF-8.
const std::string hostile = std::string{"</title><script>alert(1)</script>&amp;\" onload='x'\x1b[2J\r\n"} +
                            '\0' + "\u202E\u200B\uFFFF\xFF]]>";

shotlog::Replayed hostile_log() {
  auto log =
      log_of({fired(pair(1, 1), 5s, 12ms, hostile), fired(pair(1, 2), 7s),
              not_fired(pair(2, 1), Outcome::failed, hostile), shotlog::BodyNews{"long", false, hostile},
              shotlog::Note{hostile}, shotlog::CueLine{hostile, at(3s), {}},
              shotlog::FilterChange{"long", shotlog::FilterState::off, true, hostile},
              shotlog::ClockLine{hostile}, shotlog::Amendment{header(), hostile}});
  for (auto& line : log.lines) {
    auto* plan = std::get_if<shotlog::Header>(&line.entry);
    if (auto* amendment = std::get_if<shotlog::Amendment>(&line.entry)) plan = &amendment->header;
    if (plan != nullptr) {
      for (auto* text : {&plan->title, &plan->zone, &plan->plan_hash, &plan->limb}) *text = hostile;
      plan->rigs[0].rig += hostile;
      plan->rigs[0].corona = {{{50'000, 3, {100}}, exposure::FNumber{80}, Stops{0}}, {{0.1, 40}, {4, 7}}};
      for (auto& step : plan->rigs[0].steps) step.step += hostile;
    }
    if (auto* outcome = std::get_if<shotlog::FrameOutcome>(&line.entry)) {
      outcome->frame.rig += hostile;
      outcome->frame.step += hostile;
      outcome->files = {hostile, "a." + hostile};
    }
  }
  return log;
}

/// Whether an XML parser takes it; none where there is no such program.
std::optional<bool> is_well_formed(const std::string& page) {
  if (!std::filesystem::exists("/usr/bin/xmllint")) return std::nullopt;
  auto path = (std::filesystem::temp_directory_path() / "noonfall-page-XXXXXX").string();
  const int file = mkstemp(path.data());
  REQUIRE(file >= 0);
  close(file);
  std::ofstream{path, std::ios::binary} << page;
  const int status = std::system(("/usr/bin/xmllint --noout " + path).c_str());
  std::filesystem::remove(path);
  return status == 0;
}

void check_well_formed(const std::string& page) {
  const auto found = is_well_formed(page);
  if (!found) {
    MESSAGE("skipped: no xmllint");
    return;
  }
  CHECK(*found);
}

shotlog::Replayed eventful() {
  auto log = log_of(
      {fired(pair(1, 1), 5s, 12ms), fired(pair(1, 2), 8s, 20ms),
       shotlog::Skip{pair(2, 1), at(9s), shotlog::SkipReason::late},
       not_fired(pair(2, 2), Outcome::failed, "no focus"), not_fired(pair(3, 1), Outcome::unknown, "no word"),
       intent(bead(2), 31s), shotlog::BodyNews{"long", false, "off the line"},
       shotlog::BodyNews{"long", true, {}}, shotlog::BodyNews{"long", true, "wrong exposure"},
       shotlog::CueLine{"Halfway", at(20s), {}}, shotlog::CueLine{"Filter on", at(60s), "no voice"},
       shotlog::FilterChange{"long", shotlog::FilterState::off, true, "told"}});
  log.lines.back().utc = at(35s);
  log.torn_tail = true;
  return log;
}

}  // namespace

TEST_CASE("the page has the account's numbers in its headline, and what happened in its own words") {
  const auto log = eventful();
  const auto account = shotlog::account_of(log.lines);
  shotlog::Tally tally;
  for (const auto& [name, frame] : account.frames) tally.count(frame);
  const auto page = to_html(*summarise(log), {});
  CHECK(has(page, figure(14, "frames planned")));
  CHECK(has(page, "hatched unknown. In a rehearsal the filter stays on."));
  CHECK(has(page, figure(tally.fired, "shot")));
  CHECK(has(page, figure(tally.skipped + tally.cancelled, "skipped")));
  CHECK(has(page, figure(tally.failed, "lost")));
  CHECK(has(page, figure(tally.unknown + tally.open, "unknown")));
  CHECK(tally.fired == 2);
  CHECK(tally.unknown + tally.open == 2);
  CHECK(has(page, "The last line was torn"));
  CHECK(has(page, "The log ends before the plan does"));
  const auto fault = page.find("<td class=\"\">fault</td><td class=\"\">off the line</td>");
  const auto back = page.find("<td class=\"\">back</td><td class=\"\">the body is there</td>");
  CHECK(fault != std::string::npos);
  REQUIRE(back != std::string::npos);
  CHECK(back > fault);
  CHECK(has(page, "<td class=\"\">remark</td><td class=\"\">wrong exposure</td>"));
  CHECK(has(page, ">Halfway</td><td class=\"\">spoken<"));
  CHECK(has(page, ">Filter on</td><td class=\"\">no voice<"));
  CHECK(has(page, "camera filter of long off, confirmed: told"));
  CHECK(has(page, "10:00:00.000"));  // C2
  CHECK(has(page, "± 3.2 s"));
}

TEST_CASE("the page needs nothing but itself") {
  const auto page = to_html(*summarise(eventful()), {});
  for (const auto* outward : {"src=", "href=", "@import", "url(http", "<script"})
    CHECK_FALSE(has(page, outward));
}

TEST_CASE("the page is well formed") {
  check_well_formed(to_html(*summarise(eventful()), {}));
  check_well_formed(to_html(*summarise(log_of({})), {}));
}

TEST_CASE("nothing that a log says becomes markup, commands a terminal or hides") {
  const auto summary = *summarise(hostile_log());
  const auto page = to_html(summary, {});
  check_well_formed(page);
  CHECK_FALSE(has(page, "<script"));
  CHECK_FALSE(has(page, "onload='x'"));
  CHECK(has(page, "&lt;script&gt;alert(1)&lt;/script&gt;&amp;amp;&quot; onload=&#39;x&#39;"));
  for (const auto& text : {page, to_json(summary), to_csv(summary), to_text(summary, {})}) {
    for (const char c : text) CHECK_FALSE((static_cast<unsigned char>(c) < 0x20 && c != '\n'));
    for (const auto* hiding : {"\u202E", "\u200B", "\uFFFF", "\xFF"}) CHECK_FALSE(has(text, hiding));
  }
  const auto json = nlohmann::json::parse(to_json(summary));
  CHECK(json["story"].size() == summary.detail.story.size());
}

TEST_CASE("the object, the table and the account say the same") {
  const auto log = eventful();
  const auto summary = *summarise(log);
  const auto json = nlohmann::json::parse(to_json(summary));
  CHECK(json["frames"]["shot"] == 2);
  CHECK(json["frames"]["failed"] == 1);
  CHECK(json["frames"]["skipped"] == 1);
  CHECK(json["frames"]["unknown"] == 1);
  CHECK(json["frames"]["without_answer"] == 1);
  CHECK(json["planned_frames"] == 14);
  CHECK(json["complete"] == false);
  CHECK(json["torn_tail"] == true);
  CHECK(json["contacts"][1]["utc"] == "2027-08-02T10:00:40.000000Z");
  CHECK(json["contacts"][1]["uncertainty_s"] == 3.2);
  CHECK(json["totality"][0]["lasts_s"] == 40.0);
  CHECK(json["totality"][0]["told_s"] == 35.0);
  CHECK(json["cards"][0]["frames"] == 2);
  CHECK(json["cards"][0]["uncertain"] == 2);
  REQUIRE(json["steps"].size() == 2);
  CHECK(json["steps"][0]["frames"]["shot"] == 2);
  CHECK(json["steps"][0]["most_late_ms"] == 20.0);
  CHECK(json["steps"][0]["reasons"]["no focus"] == 1);
  CHECK(has(to_csv(summary),
            "\"long\",\"pairs\",12,\"corona 0.1 to 4\",off,2027-08-02T10:00:05.000Z,"
            "2027-08-02T10:00:20.000Z,3,6,1,2,1,1,1,0,0,20.0,20.0,"));
  int frames = 0;
  for (const auto& bar : json["lateness"]) frames += bar["frames"].get<int>();
  CHECK(frames == 2);
}
