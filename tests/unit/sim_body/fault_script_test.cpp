#include "sim/body/fault_script.h"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <fstream>
#include <sstream>
#include <string>

#include "lib/plan/parse.h"
#include "tests/source_folder.h"

namespace noonfall::sim {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;

const std::string head = "noonfall_faults: 1\nfaults:\n";

/// The one fault of a script with this entry.
ScriptedFault only(const std::string& entry) {
  const auto script = parse_fault_script(head + "  - " + entry + "\n");
  REQUIRE(script);
  REQUIRE(script->size() == 1);
  return script->front();
}

std::string file_text(const std::string& path) {
  std::ifstream file(NOONFALL_SOURCE "/" + path);
  REQUIRE(file);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

/// The first YAML block of a page.
std::string first_example(const std::string& page) {
  const std::string opening = "```yaml\n";
  const auto begin = page.find(opening) + opening.size();
  return page.substr(begin, page.find("```\n", begin) - begin);
}

Utc on_the_day(Duration after_midnight) {
  return std::chrono::sys_days{std::chrono::year{2027} / 8 / 2} + after_midnight;
}

contacts::Circumstances sky_of(contacts::Kind kind) {
  contacts::Circumstances sky;
  sky.eclipse = std::chrono::year{2027} / 8 / 2;
  sky.kind = kind;
  const auto put = [&](ContactName name, Duration at) {
    sky.contacts[static_cast<std::size_t>(name)].emplace().utc = on_the_day(at);
  };
  put(ContactName::c1, 7h + 40min);
  put(ContactName::mid, 8h + 47min);
  put(ContactName::c4, 10h);
  if (kind != contacts::Kind::total) return sky;
  put(ContactName::c2, 8h + 45min);
  put(ContactName::c3, 8h + 49min);
  return sky;
}

const std::vector<std::string> rigs{"long", "wide"};

}  // namespace

TEST_CASE("each kind of fault is read as written") {
  CHECK(only("{rig: long, fault: busy, from: C2, for: 3 s}").effect == Effect{BusyReleases{}});
  CHECK(only("{rig: long, fault: gone, from: C2, for: 3 s}").effect == Effect{BodyGone{}});
  CHECK(only("{rig: long, fault: slow card, rate: 25 %, from: C2, for: 3 s}").effect ==
        Effect{SlowCard{0.25}});
  CHECK(only("{rig: long, fault: lost frame, from: C2, count: 1}").effect ==
        Effect{LostFrame{LostFrame::Sign::unconfirmed}});
  CHECK(only("{rig: long, fault: lost frame, answer: no word, from: C2, count: 1}").effect ==
        Effect{LostFrame{LostFrame::Sign::no_word}});
}

TEST_CASE("a refused setting is any change of one kind, or one value") {
  const auto refused = [](const std::string& setting) {
    const auto fault =
        only("{rig: long, fault: refused setting, setting: " + setting + ", from: C2, count: 1}");
    return std::get<RefusedSetting>(fault.effect).what;
  };
  using What = decltype(RefusedSetting::what);
  CHECK(refused("aperture") == What{Setting::aperture});
  CHECK(refused("drive") == What{Setting::drive});
  CHECK(refused("{shutter: 1/2000}") == What{SettingValue{exposure::Shutter{1, 2000}}});
  CHECK(refused("{aperture: f/5.6}") == What{SettingValue{exposure::FNumber{56}}});
  CHECK(refused("{iso: 400}") == What{SettingValue{exposure::Iso{400}}});
  CHECK(refused("{drive: continuous}") == What{SettingValue{body::Drive::continuous}});
}

TEST_CASE("a fault begins at a plan's instant and lasts, or strikes a number of times") {
  const auto lasting = only("{rig: wide, fault: busy, from: C3 - 8 s, for: 1 min 30 s}");
  CHECK(lasting.rig == "wide");
  CHECK(lasting.from.value == plan::InstantValue{plan::ContactOffset{ContactName::c3, -8s}});
  CHECK(lasting.extent == Extent{Duration{90s}});
  const auto counted = only("{rig: wide, fault: busy, from: \"2027-08-02T08:45:00Z\", count: 2}");
  CHECK(counted.from.value == plan::InstantValue{on_the_day(8h + 45min)});
  CHECK(counted.extent == Extent{2});
}

TEST_CASE("resolved, each rig has its own faults at absolute instants") {
  const auto script =
      parse_fault_script(head +
                         "  - {rig: wide, fault: gone, from: C2 + 10 s, for: 40 s}\n"
                         "  - {rig: long, fault: busy, from: MID + 10 % of totality, count: 3}\n"
                         "  - {rig: wide, fault: busy, from: \"2027-08-02T08:00:00Z\", for: 1 s}\n");
  REQUIRE(script);
  const auto faults = resolve_faults(*script, sky_of(contacts::Kind::total), rigs);
  REQUIRE(faults);
  const Utc c2 = on_the_day(8h + 45min);
  CHECK(faults->at(0) == std::vector{Fault{c2 + 2min + 24s, Utc::max(), 3, BusyReleases{}}});
  CHECK(faults->at(1) == std::vector{Fault{c2 + 10s, c2 + 50s, {}, BodyGone{}},
                                     Fault{on_the_day(8h), on_the_day(8h) + 1s, {}, BusyReleases{}}});
}

TEST_CASE("an unknown rig and an instant that never comes are errors, all of them told") {
  const std::string text = head +
                           "  - {rig: lnog, fault: busy, from: C2, count: 1}\n"
                           "  - {rig: tele, fault: busy, from: MID, count: 1}\n";
  const auto script = parse_fault_script(text);
  REQUIRE(script);
  auto faults = resolve_faults(*script, sky_of(contacts::Kind::partial), rigs);
  REQUIRE_FALSE(faults);
  attach_source(faults.error(), "faults.yaml", text);
  CHECK(to_text(faults.error()) == R"(faults.yaml:3:11: error: the plan has no rig "lnog"
    3 |   - {rig: lnog, fault: busy, from: C2, count: 1}
      |           ^
  wanted: long
faults.yaml:3:36: error: this instant doesn't come at the site: no such contact, or no totality
    3 |   - {rig: lnog, fault: busy, from: C2, count: 1}
      |                                    ^
  wanted: a contact that happens, or an instant like 2027-08-02T08:45:00Z
faults.yaml:4:11: error: the plan has no rig "tele"
    4 |   - {rig: tele, fault: busy, from: MID, count: 1}
      |           ^
  wanted: one of long, wide
)");
}

TEST_CASE("the example script and the one of the docs are good, and fit the rigs of the plan they name") {
  const auto plan = plan::parse(file_text("plans/two-rigs-2027.yaml"));
  REQUIRE(plan);
  std::vector<std::string> names;
  for (const auto& rig : plan->rigs) names.push_back(rig.name);
  for (const auto& text :
       {file_text("plans/faults/rough-day.yaml"), first_example(file_text("docs/fault-script.md"))}) {
    const auto script = parse_fault_script(text);
    REQUIRE(script);
    const auto faults = resolve_faults(*script, sky_of(contacts::Kind::total), names);
    REQUIRE(faults);
    CHECK_FALSE(faults->at(0).empty());
    CHECK_FALSE(faults->at(1).empty());
  }
}

TEST_CASE("the example script has one of every kind") {
  const auto script = parse_fault_script(file_text("plans/faults/rough-day.yaml"));
  REQUIRE(script);
  std::vector<int> of_kind(std::variant_size_v<Effect>);
  for (const auto& fault : *script) ++of_kind.at(fault.effect.index());
  for (const int count : of_kind) CHECK(count > 0);
}

TEST_CASE("a damaged script is read or refused with places and remedies, never worse") {
  const std::string good = file_text("plans/faults/rough-day.yaml");
  const std::string letters = "{}[]:,-#\"'%&*!|> \n\t0C2srz\x80\xff";
  CHECK(rc::check([&] {
    std::string text = good;
    for (int n = *rc::gen::inRange(1, 8); n > 0; --n) {
      const auto place = *rc::gen::inRange<std::size_t>(0, text.size());
      const auto length = *rc::gen::inRange<std::size_t>(0, 12);
      switch (*rc::gen::inRange(0, 4)) {
        case 0:
          text.erase(place, length);
          break;
        case 1:
          text.insert(place, text.substr(*rc::gen::inRange<std::size_t>(0, text.size()), length));
          break;
        case 2:
          text[place] = *rc::gen::elementOf(letters);
          break;
        default:
          text.insert(place, 1, *rc::gen::elementOf(letters));
      }
    }
    const auto script = parse_fault_script(text);
    if (script) return RC_ASSERT(!script->empty());
    RC_ASSERT(has_errors(script.error()));
    for (const auto& finding : script.error()) {
      RC_ASSERT(finding.mark.line > 0);
      RC_ASSERT(!finding.message.empty());
      RC_ASSERT(!finding.hint.empty());
    }
  }));
}

}  // namespace noonfall::sim
