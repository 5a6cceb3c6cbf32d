// What a report says beyond its tables, by sums done by hand here.
#include <cmath>

#include <doctest/doctest.h>

#include "tests/unit/report/hand_made_log.h"

using namespace noonfall;
using namespace noonfall::report;
using order::Outcome;

namespace {

/// Of a log whose run is over.
Detail detail_of(shotlog::Replayed log) {
  log.lines.push_back(
      {std::ssize(log.lines) + 1, log.lines.back().utc, log.lines.back().clock, shotlog::Ended{}});
  const auto summary = summarise(log);
  REQUIRE(summary);
  return summary->detail;
}

shotlog::Header& header_in(shotlog::Replayed& log) {
  return std::get<shotlog::Header>(log.lines.front().entry);
}

const ladder::Optics light{{50'000, 3, {100}}, exposure::FNumber{80}, Stops{0}};

}  // namespace

TEST_CASE(
    "totality is in use while a shutter is open, and for as long after as the body takes within a set") {
  // Two seconds each: 5 to 7, 8 to 10 (one second between frames of a set), 20 to 22.
  const auto all = detail_of(log_of({fired(pair(1, 1), 5s), fired(pair(1, 2), 8s), fired(pair(2, 1), 20s)}));
  REQUIRE(all.totality.size() == 1);
  const auto& use = all.totality.front();
  CHECK(use.lasts == 40s);
  CHECK(use.own_pause == 1s);
  CHECK(use.used == 2s + 1s + 2s + 1s + 2s + 1s);
  CHECK(use.per_cent() == doctest::Approx(100.0 * 9 / 40));
  CHECK(use.frames == 3);
}

TEST_CASE("what is open across a contact counts inside it only, and nothing counts twice") {
  const auto all = detail_of(log_of({fired(pair(1, 1), -1s), fired(pair(1, 2), 39s)}));
  CHECK(all.totality.front().used == 1s + 38s + 1s);  // of one set: the pause between them is the body's own
  const auto overlapping = detail_of(log_of({fired(pair(1, 1), 10s), fired(bead(1), 11s)}));
  CHECK(overlapping.totality.front().used == 3s);
  CHECK(detail_of(log_of({fired(pair(1, 1), 50s)})).totality.empty());
  auto partial = log_of({fired(pair(1, 1), 5s)});
  header_in(partial).kind = contacts::Kind::partial;
  CHECK(detail_of(partial).totality.empty());
}

TEST_CASE("a log still going is judged by as much of totality as it tells of") {
  auto log = log_of({fired(pair(1, 1), 5s), fired(pair(1, 2), 8s)});
  const auto told_until = [&](Duration after_c2) {
    log.lines.back().utc = at(after_c2);
    return *summarise(log);
  };
  const auto early = told_until(12s);
  const auto& use = early.detail.totality.at(0);
  CHECK(use.lasts == 12s);
  CHECK(use.in_all == 40s);
  CHECK(use.used == 2s + 1s + 2s + 1s);
  CHECK(use.per_cent() == doctest::Approx(50));
  CHECK(early.gaps.empty());  // 5 s before the first frame, 2 s so far after the last
  CHECK(told_until(20s).gaps == std::vector<Gap>{{"long", at(10s), at(20s)}});
  CHECK(told_until(-1s).detail.totality.empty());
  const auto after = told_until(60s).detail.totality.at(0);
  CHECK(after.lasts == 40s);
  log.lines.push_back({4, at(60s), {}, shotlog::Ended{shotlog::RunEnd::stopped}});
  log.lines[2].utc = log.lines[3].utc = at(12s);
  CHECK(summarise(log)->detail.totality.at(0).lasts == 40s);  // whoever stops a run uses no more of it
}

TEST_CASE("frames of steps with instants fall into a histogram by their distance, early ones too") {
  const auto all = detail_of(
      log_of({fired(pair(1, 1), 5s, 5ms), fired(pair(1, 2), 6s, 5001us), fired(pair(2, 1), 7s, -30ms),
              fired(pair(2, 2), 8s, 1001ms), fired(bead(1), 30s, 5s)}));
  CHECK(all.lateness.frames == std::array<int, 9>{1, 1, 0, 1, 0, 0, 0, 0, 1});
  CHECK(all.lateness.early == 1);
}

TEST_CASE("frames are counted at the rows of the exposure table that they were exposed for") {
  // t = N^2 / (ISO * 2^Q), NASA RP 1383: 2 s at f/8 ISO 400 is Q = log2(64 / 800) = -3.6, between the corona
  // at 8 radii (-3) and earthshine (-4).
  const auto all = detail_of(log_of({fired(pair(1, 1), 5s), fired(pair(1, 2), 8s)}));
  REQUIRE(all.sampled.size() == 12);
  CHECK(all.sampled.front().subject == "beads");
  CHECK(all.sampled.front().brightness == 12);
  for (const auto& each : all.sampled) {
    CAPTURE(each.subject);
    CHECK(each.frames == (each.subject == "corona 8" || each.subject == "earthshine" ? 2 : 0));
  }
  auto filtered = log_of({fired(pair(1, 1), 5s)});
  header_in(filtered).rigs[0].steps[0].filtered = true;
  CHECK(detail_of(filtered).sampled.empty());
}

TEST_CASE("stacked frames are worth the root of their number, and those of other subjects nothing") {
  const auto worth_of = [](std::int32_t sets) {
    auto log = log_of({fired(bead(1), 30s)});
    header_in(log).rigs[0].corona = {light, {{4, 77}}};
    for (std::int32_t n = 1; n <= sets; ++n)
      log.lines.push_back({n + 2, at(50s), {}, fired(pair(n, 1), n * 3s)});
    const auto all = detail_of(log).worth;
    REQUIRE(all.size() == 1);
    CHECK(all.front().planned == std::vector<ladder::Signal>{{4, 77}});
    REQUIRE(all.front().reached.size() == 1);
    CHECK(all.front().reached[0].radii == 4);
    return all.front().reached[0].to_noise;
  };
  CHECK(worth_of(0) == 0);
  CHECK(worth_of(1) > 1);
  // Independent noise adds as the root of the squares (any textbook of statistics).
  CHECK(worth_of(9) == doctest::Approx(3 * worth_of(1)));
  CHECK(detail_of(log_of({fired(pair(1, 1), 5s)})).worth.empty());
}

TEST_CASE("a card's files, what may be there too, and the darks and flats that would suit") {
  auto one = fired(pair(1, 1), 5s);
  one.files = {"DCIM/100/A1.RAW", "DCIM/100/A1.JPG"};
  auto two = fired(pair(1, 2), 8s);
  two.files = {"DCIM/100/A2.RAW"};
  two.exposure.shutter = {1, 500};
  const auto cards =
      detail_of(log_of({one, two, intent(pair(2, 1), 12s), not_fired(pair(2, 2), Outcome::unknown, "no word"),
                        not_fired(pair(3, 1), Outcome::failed, "no focus")}))
          .cards;
  REQUIRE(cards.size() == 1);
  CHECK(cards[0].frames == 2);
  CHECK(cards[0].uncertain == 2);
  CHECK(cards[0].files == std::map<std::string, int>{{"JPG", 1}, {"RAW", 2}});
  CHECK(cards[0].first == "DCIM/100/A1.RAW");
  CHECK(cards[0].last == "DCIM/100/A2.RAW");
  CHECK(cards[0].darks == std::vector<exposure::Exposure>{{{2, 1}, {}, {400}}});  // not for 1/500
  CHECK(cards[0].flats == std::vector<exposure::Exposure>{{{}, exposure::FNumber{80}, {400}}});
}

TEST_CASE("the clock's grade is told in stretches, with the widest bound of each") {
  auto log = log_of({shotlog::Note{"a"}, shotlog::Note{"b"}, shotlog::Note{"c"}});
  const auto state = [&](std::size_t line, shotlog::ClockGrade grade, Duration bound) {
    log.lines[line].clock = {grade, bound};
  };
  state(0, shotlog::ClockGrade::a, 2ms);
  state(1, shotlog::ClockGrade::a, 9ms);
  state(2, shotlog::ClockGrade::b, 40ms);
  CHECK(detail_of(log).clock ==
        std::vector<ClockSpan>{{log.lines[0].utc, log.lines[2].utc, shotlog::ClockGrade::a, 9ms},
                               {log.lines[2].utc, log.lines[3].utc, shotlog::ClockGrade::b, 40ms},
                               {log.lines[3].utc, log.lines[3].utc, shotlog::ClockGrade::f, {}}});
}

namespace {

Summary of_all(const std::vector<shotlog::Replayed>& logs) {
  const auto summary = summarise(logs);
  REQUIRE(summary);
  return *summary;
}

}  // namespace

TEST_CASE("a log and its copy, cut short, are told as the log alone, in either order") {
  const auto whole = log_of({shotlog::BodyNews{"long", false, "off the line"}, fired(pair(1, 1), 5s),
                             shotlog::BodyNews{"long", true, {}}, shotlog::Ended{}});
  auto cut = whole;
  cut.lines.resize(3);
  const auto alone = of_all({whole});
  for (const auto& both : {of_all({cut, whole}), of_all({whole, cut})}) {
    CHECK(both.total == alone.total);
    CHECK(both.planned_frames == alone.planned_frames);
    CHECK(both.steps == alone.steps);
    CHECK(both.happenings == alone.happenings);
    CHECK(both.detail.story == alone.detail.story);
  }
  CHECK(of_all({cut, whole}).complete);
}

TEST_CASE("what the second log knows of a frame that the first one lost sight of is believed") {
  const auto before = log_of(
      {intent(pair(1, 1), 5s), not_fired(pair(1, 2), Outcome::unknown, "no word"), fired(pair(2, 1), 8s)});
  const auto after =
      log_of({fired(pair(1, 1), 5s), not_fired(pair(2, 1), Outcome::unknown, "no word"), shotlog::Ended{}});
  const auto both = of_all({before, after});
  CHECK(both.total.fired == 2);
  CHECK(both.total.unknown == 1);
  CHECK(both.total.open == 0);
  CHECK(both.complete);
  CHECK(both.planned_frames == 14);
}

TEST_CASE("the rigs of two machines stand in one report, which is complete when both are") {
  const auto one = log_of({fired(pair(1, 1), 5s), shotlog::Ended{}});
  auto other = log_of({shotlog::Note{"the other machine"}});
  header_in(other).rigs[0].rig = "wide";
  auto frame = fired(pair(1, 1), 6s);
  frame.frame.rig = "wide";
  other.lines.push_back({3, at(7s), {}, frame});
  auto both = of_all({one, other});
  CHECK(both.total.fired == 2);
  CHECK(both.planned_frames == 28);
  CHECK_FALSE(both.complete);
  REQUIRE(both.steps.size() == 4);
  CHECK(both.steps[0].rig == "wide");
  CHECK(both.steps[2].rig == "long");
  CHECK(both.steps[2].frames.fired == 1);
  other.lines.push_back({4, at(8s), {}, shotlog::Ended{}});
  CHECK(of_all({one, other}).complete);
}

TEST_CASE("a second log without its first line adds its frames to the plan of the first") {
  const auto one = log_of({fired(pair(1, 1), 5s)});
  auto headless = log_of({fired(pair(1, 2), 7s)});
  headless.lines.erase(headless.lines.begin());
  CHECK(of_all({one, headless}).windows.at(0).inside == 2);
  CHECK(of_all({headless, one}).windows.at(0).inside == 2);
}
