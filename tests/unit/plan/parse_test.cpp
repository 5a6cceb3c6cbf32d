#include "lib/plan/parse.h"

#include <doctest/doctest.h>

#include "tests/unit/plan/plan_text.h"

namespace noonfall::plan {
namespace {

using contacts::ContactName;
using exposure::FNumber;
using exposure::Iso;
using exposure::Shutter;
using namespace std::chrono_literals;

Instant at(ContactName contact, Duration offset = 0s) {
  return {ContactOffset{contact, offset}, {}};
}

/// Of a plan without errors; what parse says otherwise.
Plan parsed(const std::string& text) {
  const auto plan = parse(text);
  REQUIRE_MESSAGE(plan, errors_of(text));
  return *plan;
}

const Shooting& shooting(const Plan& plan, std::size_t step) {
  return std::get<Shooting>(plan.steps.at(step).what);
}

/// The one step of a small plan.
Step step_of(const std::string& keys) {
  return parsed(with_step("{name: a, " + keys + "}")).steps.at(0);
}
Shooting shooting_of(const std::string& keys) {
  return std::get<Shooting>(step_of("rig: long, subject: beads, " + keys).what);
}
Rig rig_of(const std::string& keys) {
  return parsed(with_rig(keys)).rigs.at(0);
}

}  // namespace

TEST_CASE("the example says what it says: header, site and rig") {
  const auto plan = parsed(example);
  CHECK(plan.title == "Breakwater, two rigs");
  CHECK(noonfall::to_text(plan.eclipse) == "2027-08-02");
  CHECK(plan.site == SitePlace{{36.0139}, {-5.6033}, {12}, false, "Europe/Madrid", {}});
  CHECK(plan.dut1 == 50ms);
  REQUIRE(plan.rigs.size() == 1);
  Rig rig;
  rig.name = "long";
  rig.body = SimulatedBody{"mirrorless-20"};
  rig.focal_length = {600};
  rig.sensor = Sensor{{35.9}, {23.9}, {5.9}};
  rig.exposure.aperture = {FNumber{80}, FNumber{80}};
  rig.exposure.iso = {Iso{400}, Iso{400}};
  rig.filter = Filter{5.0, at(ContactName::c2, -30s), at(ContactName::c3, 30s), 8s, "", "", {}};
  CHECK(plan.rigs[0] == rig);
}

TEST_CASE("the example says what it says: steps and cues") {
  const auto plan = parsed(example);
  REQUIRE(plan.steps.size() == 5);
  CHECK(shooting(plan, 0).pace == Pace{Every{at(ContactName::c1, 10s), at(ContactName::c2, -60s), 5min}});
  CHECK(shooting(plan, 0).bracket == Bracket{CentredBracket{3, {1}}, BracketOrder::short_first, {}});
  CHECK(std::get<HandsOn>(plan.steps[1].what) ==
        HandsOn{at(ContactName::c2, -12min), at(ContactName::c2, -10min), ""});
  CHECK(plan.steps[1].rigs == std::vector<std::string>{"long"});
  CHECK(shooting(plan, 2).pace == Pace{BackToBack{at(ContactName::c2, -8s), at(ContactName::c2, 2s)}});
  CHECK(shooting(plan, 2).drive == body::Drive::continuous);
  CHECK(shooting(plan, 2).exposure.shutter == Limits<Shutter>{{1, 2000}, {1, 2000}});
  CHECK(shooting(plan, 3).subject == exposure::Subject{exposure::SubjectKind::corona, 0.1, 4});
  CHECK(shooting(plan, 3).bracket ==
        Bracket{LadderBracket{{1, 2000}, {2, 1}, {2}}, BracketOrder::short_first, {}});
  CHECK(shooting(plan, 3).unfinished == Unfinished::drop);
  CHECK(shooting(plan, 3).leave_free_frames == 12);
  CHECK(plan.steps[3].only_if == OnlyIf{true, 60s, {}});
  CHECK(std::get<MirrorOf>(plan.steps[4].what) == MirrorOf{"beads in", {}});
  CHECK(plan.cues ==
        std::vector<Cue>{{at(ContactName::c2, -5min), "Hands needed at long in five minutes", {}},
                         {at(ContactName::mid), "Halfway", {}}});
}

TEST_CASE("what is left out has its default") {
  const auto rig = rig_of("body: by hand, lens: {focal_length: 600 mm}, filter: {}");
  CHECK(rig.body == decltype(rig.body){ByHand{}});
  CHECK(rig.mount == Mount::fixed);
  CHECK(rig.files == body::Files::raw);
  CHECK(rig.sun_in_frame);
  CHECK(rig.filter == Filter{5.0, at(ContactName::c2, -30s), at(ContactName::c3, 30s), 8s, "", "", {}});
  const auto step = shooting_of("at: C2");
  CHECK(step.drive == body::Drive::single);
  CHECK(step.unfinished == Unfinished::keep);
  CHECK_FALSE(step.patience);
  CHECK_FALSE(step.leave_free_frames);
  CHECK_FALSE(parsed(with_step("{name: a, rig: long, subject: beads, at: C2}")).dut1);
}

TEST_CASE("a rig's other words") {
  const auto rig = rig_of(
      "body: {serial: \"3012345\", profile: mirror-24}, lens: {focal_length: 24 mm}, filter: none, "
      "sun_in_frame: never, mount: tracking, files: raw+jpeg, exposure: {shutter: 1/30 to 2 s, iso: 100 to "
      "1600}");
  CHECK(rig.body == decltype(rig.body){CabledBody{"3012345", "mirror-24"}});
  CHECK_FALSE(rig.filter);
  CHECK_FALSE(rig.sun_in_frame);
  CHECK(rig.mount == Mount::tracking);
  CHECK(rig.files == body::Files::raw_and_jpeg);
  CHECK(rig.exposure.shutter == Limits<Shutter>{{1, 30}, {2, 1}});
  CHECK(rig.exposure.iso == Limits<Iso>{{100}, {1600}});
  const auto worded = rig_of(
      "body: by hand, lens: {focal_length: 600 mm}, filter: {density: 3.8, handling: 1 s, "
      "say_off: Take the camera filter off, say_on: Camera filter on}");
  CHECK(worded.filter->say_off == "Take the camera filter off");
  CHECK(worded.filter->say_on == "Camera filter on");
}

TEST_CASE("a site may be given above the ellipsoid, and UT1-UTC may be negative") {
  const auto plan =
      parsed(with_top_line("site: {latitude: -90, longitude: 180, ellipsoidal_height: -20.5 m}"));
  CHECK(plan.site == SitePlace{{-90}, {180}, {-20.5}, true, "", {}});
  const auto surveyed = parsed(with_top_line(
      "site: {latitude: 1, longitude: 2, elevation: 3 m, position_error: 5 m, elevation_error: 0.5 m}"));
  CHECK(surveyed.site.position_error == Metres{5});
  CHECK(surveyed.site.elevation_error == Metres{0.5});
  CHECK(parsed(with_top_line("earth: {dut1: -899 ms}")).dut1 == -899ms);
  CHECK(parsed(with_top_line("earth: {}")).dut1 == std::nullopt);
}

TEST_CASE("instants are read in all their spellings") {
  const auto instant = [](const std::string& text) {
    return std::get<At>(shooting_of("at: " + text).pace).instants.at(0).value;
  };
  CHECK(instant("C2") == InstantValue{ContactOffset{ContactName::c2}});
  CHECK(instant("C2-8s") == InstantValue{ContactOffset{ContactName::c2, -8s}});
  CHECK(instant("C3 + 1 min 30.5 s") == InstantValue{ContactOffset{ContactName::c3, 90500ms}});
  CHECK(instant("C4 + 24 h") == InstantValue{ContactOffset{ContactName::c4, 24h}});
  CHECK(instant("MID + 10 % of totality") == InstantValue{ContactOffset{ContactName::mid, 0s, 10}});
  CHECK(instant("C2+12.5% of totality") == InstantValue{ContactOffset{ContactName::c2, 0s, 12.5}});
  CHECK(instant("MID - 1000 % of totality") == InstantValue{ContactOffset{ContactName::mid, 0s, -1000}});
  CHECK(instant("2027-08-02T08:45:00.25Z") ==
        InstantValue{Utc{std::chrono::sys_days{std::chrono::year{2027} / 8 / 2}} + 8h + 45min + 250ms});
}

TEST_CASE("each pace is read") {
  CHECK(shooting_of("at: [C2, C3 - 1 s]").pace == Pace{At{{at(ContactName::c2), at(ContactName::c3, -1s)}}});
  CHECK(shooting_of("from: C2, until: C3, every: 100 ms").pace ==
        Pace{Every{at(ContactName::c2), at(ContactName::c3), 100ms}});
  CHECK(shooting_of("from: C2, until: C3, spread: 7").pace ==
        Pace{Spread{at(ContactName::c2), at(ContactName::c3), 7}});
  CHECK(shooting_of("from: C2, until: C3, every: back to back").pace ==
        Pace{BackToBack{at(ContactName::c2), at(ContactName::c3)}});
  CHECK(shooting_of("at: C2, patience: 0 s").patience == 0s);
}

TEST_CASE("brackets and sets are read in all their shapes") {
  const auto bracket = [](const std::string& text) {
    return shooting_of("at: C2, bracket: " + text).bracket;
  };
  CHECK(bracket("{frames: 1, by: 1/3 stop}") ==
        Bracket{CentredBracket{1, {1.0 / 3}}, BracketOrder::short_first, {}});
  CHECK(bracket("{frames: 100, by: 0.1 stop, order: mirrored}") ==
        Bracket{CentredBracket{100, {0.1}}, BracketOrder::mirrored, {}});
  CHECK(bracket("{from: 1/1000, to: 1.3 s, by: 10 stops, order: long first}") ==
        Bracket{LadderBracket{{1, 1000}, {13, 10}, {10}}, BracketOrder::long_first, {}});
  CHECK(bracket("{shutters: [1/15, 1/1000]}") ==
        Bracket{ListBracket{{{1, 15}, {1, 1000}}}, BracketOrder::short_first, {}});

  const auto sets = shooting_of("at: C2, sets: [{shutter: 1/500}, {iso: 800, frames: 3, by: 1 stop}]").sets;
  REQUIRE(sets.size() == 2);
  CHECK(sets[0].exposure->shutter == Limits<Shutter>{{1, 500}, {1, 500}});
  CHECK_FALSE(sets[0].bracket);
  CHECK(sets[1].exposure->iso == Limits<Iso>{{800}, {800}});
  CHECK(sets[1].bracket == Bracket{CentredBracket{3, {1}}, BracketOrder::short_first, {}});
}

TEST_CASE("steps name one rig, several or all, and may have a condition") {
  CHECK(step_of("rigs: [long], subject: beads, at: C2").rigs == std::vector<std::string>{"long"});
  const auto all = step_of("rigs: all, subject: beads, at: C2, only_if: totality<=2 min");
  CHECK(all.all_rigs);
  CHECK(all.rigs.empty());
  CHECK(all.only_if == OnlyIf{false, 2min, {}});
  CHECK(step_of("hands: all, from: C1, until: C1 + 1 min, say: Level the mounts").all_rigs);
}

TEST_CASE("values keep the place they were read from") {
  const auto plan = parsed(example);
  const auto place = [](Mark mark) { return std::pair{mark.line, mark.column}; };
  CHECK(place(plan.eclipse_mark) == std::pair{3, 10});
  CHECK(place(plan.rigs[0].mark) == std::pair{8, 3});
  CHECK(place(plan.rigs[0].filter->opens.mark) == std::pair{15, 35});
  CHECK(place(plan.steps[0].mark) == std::pair{18, 5});
  CHECK(place(shooting(plan, 0).pace_mark) == std::pair{23, 12});
  CHECK(place(std::get<Every>(shooting(plan, 0).pace).until.mark) == std::pair{22, 12});
  CHECK(place(plan.cues[1].at.mark) == std::pair{52, 10});
}

TEST_CASE("all errors of a plan come out together, in order of place") {
  auto text = example;
  const auto replace = [&](const std::string& from, const std::string& to) {
    REQUIRE(text.find(from) != std::string::npos);
    text.replace(text.find(from), from.size(), to);
  };
  replace("elevation: 12 m", "elevation: 12");
  replace("mount: fixed", "mouth: fixed");
  replace("until: C2 - 60 s", "untill: C2 - 60 s");
  replace("hands: long", "hands: lung");
  replace("totality >= 60 s", "totality >= 60");
  replace("mirror: beads in", "mirror: bead in");
  CHECK(errors_of(text) ==
        "plan.yaml:4:58: error: elevation: \"12\" has no unit\n"
        "    4 | site: {latitude: 36.0139, longitude: -5.6033, elevation: 12, zone: Europe/Madrid}\n"
        "      |                                                          ^\n"
        "  wanted: a height from -500 to 9000 m, like 12 m\n"
        "plan.yaml:12:5: error: rig \"long\" has no key \"mouth\"\n"
        "   12 |     mouth: fixed\n"
        "      |     ^\n"
        "  wanted: mount\n"
        "plan.yaml:18:5: error: step \"crescent in\" has no until\n"
        "   18 |   - name: crescent in\n"
        "      |     ^\n"
        "  wanted: at; or from and until with every: DURATION, every: back to back or spread: N\n"
        "plan.yaml:22:5: error: step \"crescent in\" has no key \"untill\"\n"
        "   22 |     untill: C2 - 60 s\n"
        "      |     ^\n"
        "  wanted: until\n"
        "plan.yaml:26:12: error: there is no rig \"lung\"\n"
        "   26 |     hands: lung\n"
        "      |            ^\n"
        "  wanted: long\n"
        "plan.yaml:46:14: error: only_if: \"totality >= 60\" isn't understood\n"
        "   46 |     only_if: totality >= 60\n"
        "      |              ^\n"
        "  wanted: a condition on totality, like totality >= 60 s or totality <= 2 min\n"
        "plan.yaml:48:13: error: there is no step \"bead in\"\n"
        "   48 |     mirror: bead in\n"
        "      |             ^\n"
        "  wanted: beads in\n");
}

TEST_CASE("a plan of a later format is refused as such, and nothing else in it is judged") {
  CHECK(errors_of("noonfall: 2\nshiny: new\n") ==
        "plan.yaml:1:11: error: noonfall: plan format 2; this noonfall reads format 1\n"
        "    1 | noonfall: 2\n      |           ^\n  wanted: noonfall: 1, or a newer noonfall\n");
}

TEST_CASE("numbers of rigs, steps and errors are bounded") {
  const auto rigs = [](int count) {
    std::string text = "rigs: {";
    for (int n = 0; n < count; ++n)
      text += "r" + std::to_string(n) + ": {body: by hand, lens: {focal_length: 9 mm}, filter: none}, ";
    return errors_of(
        with_top_line(text + "long: {body: by hand, lens: {focal_length: 9 mm}, filter: none}}"));
  };
  CHECK(rigs(63) == "no errors\n");
  CHECK(rigs(64).find("error: rigs: 65 entries\n") != std::string::npos);
  const auto steps = [](int count) {
    std::string text = "steps: [";
    for (int n = 0; n < count; ++n) text += "{name: s" + std::to_string(n) + ", mirror: t}, ";
    return parse(with_top_line(text + "{name: t, rig: long, subject: beads, at: C2}]"));
  };
  CHECK(steps(999));
  REQUIRE_FALSE(steps(1000));
  CHECK(steps(1000).error().at(0).message == "steps: 1001 entries");
  std::string wrong = "steps: [";
  for (int n = 0; n < 200; ++n) wrong += "{name: s" + std::to_string(n) + ", mirror: t}, ";
  const auto refused = parse(with_top_line(wrong + "]"));
  REQUIRE_FALSE(refused);
  CHECK(refused.error().size() == 101);
  CHECK(refused.error().back().message == "from here on, 100 more errors aren't shown");
}

}  // namespace noonfall::plan
