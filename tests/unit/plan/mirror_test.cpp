#include "lib/plan/mirror.h"

#include <doctest/doctest.h>

#include "tests/unit/plan/plan_text.h"

namespace noonfall::plan {
namespace {

using contacts::ContactName;
using exposure::Shutter;
using namespace std::chrono_literals;

Instant at(ContactName contact, Duration offset = 0s, double percent = 0) {
  return {ContactOffset{contact, offset, percent}, {}};
}

/// The second of two steps, the first with `keys`, the second its mirror.
Step mirror_of(const std::string& keys, const std::string& mirror_keys = "") {
  const auto plan =
      parse(with_top_line("steps: [{name: a, " + keys + "}, {name: b, mirror: a" + mirror_keys + "}]"));
  REQUIRE(plan);
  const auto steps = with_mirrors_resolved(*plan);
  REQUIRE(steps);
  REQUIRE(steps->size() == 2);
  CHECK(steps->at(0) == plan->steps.at(0));
  return steps->at(1);
}
Shooting shooting_mirror_of(const std::string& keys) {
  return std::get<Shooting>(mirror_of("rig: long, subject: beads, " + keys).what);
}

}  // namespace

TEST_CASE("instants are turned around mid-eclipse") {
  CHECK(mirrored(at(ContactName::c1, 10s)) == at(ContactName::c4, -10s));
  CHECK(mirrored(at(ContactName::c2, -8s)) == at(ContactName::c3, 8s));
  CHECK(mirrored(at(ContactName::mid)) == at(ContactName::mid));
  CHECK(mirrored(at(ContactName::mid, 0s, 10)) == at(ContactName::mid, 0s, -10));
  CHECK(mirrored(at(ContactName::c3, -12s)) == at(ContactName::c2, 12s));
  CHECK(mirrored(at(ContactName::c4)) == at(ContactName::c1));
}

TEST_CASE("turning twice changes nothing") {
  for (const auto contact : contacts::all_contacts) {
    CHECK(mirrored(mirrored(at(contact, 3s))) == at(contact, 3s));
    CHECK(mirrored(mirrored(at(contact, 0s, -2.5))) == at(contact, 0s, -2.5));
  }
}

TEST_CASE("spans are turned end for end, and every counts back from their end") {
  CHECK(shooting_mirror_of("from: C1 + 10 s, until: C2 - 60 s, every: 5 min").pace ==
        Pace{Every{at(ContactName::c3, 60s), at(ContactName::c4, -10s), 5min, true}});
  CHECK(shooting_mirror_of("from: C2 - 8 s, until: C2 + 2 s, every: back to back").pace ==
        Pace{BackToBack{at(ContactName::c3, -2s), at(ContactName::c3, 8s)}});
  CHECK(shooting_mirror_of("from: C2, until: MID, spread: 4").pace ==
        Pace{Spread{at(ContactName::mid), at(ContactName::c3), 4}});
}

TEST_CASE("a list of instants is turned and reversed") {
  CHECK(shooting_mirror_of("at: [C1, C2 - 1 s, MID - 5 % of totality]").pace ==
        Pace{At{{at(ContactName::mid, 0s, 5), at(ContactName::c3, 1s), at(ContactName::c4)}}});
}

TEST_CASE("brackets run the other way") {
  const auto mirrored_bracket = [](const std::string& bracket) {
    return *shooting_mirror_of("at: C2, bracket: " + bracket).bracket;
  };
  CHECK(mirrored_bracket("{frames: 3, by: 1 stop}").order == BracketOrder::long_first);
  CHECK(mirrored_bracket("{frames: 3, by: 1 stop, order: long first}").order == BracketOrder::short_first);
  CHECK(mirrored_bracket("{frames: 3, by: 1 stop, order: mirrored}").order == BracketOrder::mirrored);
  CHECK(mirrored_bracket("{frames: 3, by: 1 stop, in body: true}").order == BracketOrder::short_first);
  CHECK(mirrored_bracket("{shutters: [1/1000, 1/15, 1/125]}") ==
        Bracket{ListBracket{{{1, 125}, {1, 15}, {1, 1000}}}, BracketOrder::short_first, {}});
}

TEST_CASE("sets are taken in turn from the other end, also when the last round isn't whole") {
  const auto isos = [](const std::string& pace) {
    std::vector<int> values;
    const std::string sets = "sets: [{iso: 100}, {iso: 200}, {iso: 400}]";
    for (const auto& set : shooting_mirror_of(pace + ", " + sets).sets) {
      values.push_back(set.exposure->iso->low.value);
    }
    return values;
  };
  CHECK(isos("from: C1, until: C2, every: 1 min") == std::vector{400, 200, 100});
  CHECK(isos("from: C1, until: C2, spread: 3") == std::vector{400, 200, 100});
  // Taken before mid-eclipse: 100 200 400 100; so after it: 100 400 200 100.
  CHECK(isos("from: C1, until: C2, spread: 4") == std::vector{100, 400, 200});
  CHECK(isos("at: [C1, C2]") == std::vector{200, 100, 400});
  CHECK(
      std::get<Shooting>(mirror_of("rig: long, subject: beads, at: C2, sets: [{frames: 3, by: 1 stop}]").what)
          .sets[0]
          .bracket->order == BracketOrder::long_first);
}

TEST_CASE("everything else stays, with the mirror's name and its condition if it has one") {
  const std::string keys =
      "rigs: all, subject: corona 1, at: C2, exposure: {iso: 200}, unfinished: drop, leave_free: 3 frames, "
      "patience: 1 s, only_if: totality >= 1 min";
  const auto turned = mirror_of(keys);
  CHECK(turned.name == "b");
  CHECK(turned.all_rigs);
  CHECK(turned.only_if == OnlyIf{true, 1min, {}});
  CHECK(mirror_of(keys, ", only_if: totality <= 2 min").only_if == OnlyIf{false, 2min, {}});
  const auto& shooting = std::get<Shooting>(turned.what);
  CHECK(shooting.subject == exposure::Subject{exposure::SubjectKind::corona, 1, 1});
  CHECK(shooting.exposure.iso->low.value == 200);
  CHECK(shooting.unfinished == Unfinished::drop);
  CHECK(shooting.leave_free_frames == 3);
  CHECK(shooting.patience == 1s);
}

TEST_CASE("hands can be asked for on the other side as well") {
  CHECK(std::get<HandsOn>(
            mirror_of("hands: long, from: C2 - 12 min, until: C2 - 10 min, say: Aim again").what) ==
        HandsOn{at(ContactName::c3, 10min), at(ContactName::c3, 12min), "Aim again"});
}

TEST_CASE("a plan put together by hand with a mirror of nothing is refused") {
  Plan plan;
  Step step;
  step.name = "b";
  step.what = MirrorOf{"a", Mark{3, 5}};
  plan.steps.push_back(step);
  const auto steps = with_mirrors_resolved(plan);
  REQUIRE_FALSE(steps);
  CHECK(to_text(steps.error()) ==
        ":3:5: error: there is no step \"a\" to mirror\n  wanted: the name of a step that is no mirror\n");
}

}  // namespace noonfall::plan
