// One line of every kind, for the tests of this folder.
#pragma once

#include <vector>

#include "lib/shotlog/line.h"

namespace noonfall::shotlog {

inline Utc at(std::int64_t ms) {
  return Utc{std::chrono::seconds{1'817'200'000}} + std::chrono::milliseconds{ms};
}

inline exposure::Exposure sample_exposure() {
  return {{1, 500}, exposure::FNumber{80}, {400}};
}

inline Header sample_header() {
  Header header;
  header.title = "Headland, \"two\" rigs — é";
  header.plan_hash = std::string(64, 'a');
  header.seed = 18'446'744'073'709'551'615U;
  header.eclipse = Date{std::chrono::year{2027}, std::chrono::August, std::chrono::day{2}};
  header.kind = contacts::Kind::total;
  header.site = {{36.0139}, {-5.6033}, {54.25}};
  header.zone = "Europe/Madrid";
  header.dut1 = Duration{50'000};
  header.delta_t = Duration{69'134'000};
  header.contacts = {{contacts::ContactName::c2, at(0), Duration{3'100'000}},
                     {contacts::ContactName::c3, at(280'000), Duration{3'200'000}}};
  PlannedRig rig{"long",
                 "mirrorless-20",
                 std::string(64, 'b'),
                 PlannedWindow{at(-30'000), at(-22'000), at(302'000), at(310'000)},
                 {}};
  rig.steps.push_back({"corona", 41, "corona 0.1 to 4", false, true, at(6'000), at(268'000), 25, 175, 7});
  rig.serial = "00\"3012345";
  rig.corona = {{{51'000, 3.5, {100}}, exposure::FNumber{80}, Stops{0.25}}, {{0.1, 812.5}, {4, 9.25}}};
  header.rigs.push_back(rig);
  return header;
}

inline Header moved_header() {
  auto header = sample_header();
  header.plan_hash = std::string(64, 'c');
  header.moved = Duration{-21'600'000'001};
  return header;
}

inline std::vector<Line> one_of_each() {
  const FrameName frame{"long", "corona", 3, 2};
  const ClockState good{ClockGrade::a, Duration{3'000}};
  const std::vector<Entry> entries{
      sample_header(),
      Intent{frame, 7, at(6'000), at(8'000), sample_exposure()},
      FrameOutcome{
          frame, order::Outcome::fired, at(6'000), at(6'012), sample_exposure(), {"NOON0001.RAW"}, {}},
      FrameOutcome{{"long", "corona", 3, 3},
                   order::Outcome::failed,
                   at(6'500),
                   {},
                   {{2, 1}, {}, {100}},
                   {},
                   "the card is full"},
      Skip{{"long", "corona", 3, 4}, at(7'000), SkipReason::other, "too late: 0.2 s"},
      Skip{{"long", "corona", 0, 0}, {}, SkipReason::not_here, "no totality here"},
      CueLine{"Camera filter off, long.", at(-30'000), {}},
      CueLine{.words = "Camera filter back on, long.",
              .ends = at(-30'000),
              .filter = FilterCue{"long", FilterState::on, true},
              .printed = true},
      FilterChange{"long", FilterState::off, true, {}},
      BodyNews{"long", false, "the body is off the line"},
      ClockLine{"chrony: leap status changed"},
      CommandLine{Hold{"long"}},
      ClockLine{"started", ClockStamp{"b3c1", {BootTime{Duration{12'345'678}}, at(5), 60}}},
      ClockLine{"the system clock was set",
                ClockStamp{"b3c1",
                           {BootTime{Duration{12'345'678}}, at(5)},
                           ClockReadings{BootTime{Duration{13'345'678}}, at(1005), Duration{11'345'678},
                                         Duration{11'345'600}}}},
      Amendment{moved_header(), "a step changed"},
      Look{"long", "black: the cap is on", true, {}},
      Look{"long", "0.7 stop dark since 10:40 UTC", false, 2.0 / 3},
      Ended{}};
  std::vector<Line> lines;
  for (const auto& entry : entries) {
    const auto seq = static_cast<std::int64_t>(lines.size()) + 1;
    lines.push_back({seq, at(seq * 10), seq % 2 == 0 ? ClockState{} : good, entry});
  }
  return lines;
}

}  // namespace noonfall::shotlog
