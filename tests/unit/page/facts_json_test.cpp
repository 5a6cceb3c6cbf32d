#include "daemon/page/facts_json.h"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

using namespace noonfall;
using namespace std::chrono_literals;

namespace {

constexpr Utc now{1'817'196'072'500ms};  // 2027-08-02 08:41:12.5

status::StatusFacts facts() {
  status::StatusFacts facts;
  facts.now = now;
  facts.local_clock = "10:41:12.5";
  facts.zone = "Europe/Madrid";
  facts.title = "Breakwater";
  facts.mode = shotlog::Mode::simulated;
  facts.clock = {shotlog::ClockGrade::b, 40ms};
  facts.totality = 292s;
  facts.contacts = {{contacts::ContactName::c2, now + 10s}};
  facts.next_contact = facts.contacts.front();
  facts.hands = status::Call{now + 5s, "aim at long"};
  facts.moon = contacts::MoonPlace{1.03, 0.5, -0.25, {12}};
  facts.alarms = {{now - 1s, "the cable is off"}};
  auto& rig = facts.rigs.emplace_back();
  rig.rig = "long";
  rig.body = status::BodyState::ready;
  rig.filter = shotlog::FilterState::off;
  rig.next_due = now + 2s;
  rig.next_step = "corona";
  rig.next_exposures = {{{1, 1000}, exposure::FNumber{80}, {200}}, {{1, 1}, exposure::FNumber{80}, {200}}};
  rig.exposure = rig.next_exposures.front();
  rig.trim = -1;
  rig.late = 12ms;
  rig.planned = 9;
  rig.frames.fired = 3;
  rig.levels = {82, 512};
  return facts;
}

nlohmann::json sent(const status::StatusFacts& given) {
  const auto line = page::facts_json(given);
  CHECK(line.find('\n') == std::string::npos);
  return nlohmann::json::parse(line);
}

}  // namespace

TEST_CASE("the page is sent what the screen shows") {
  const auto json = sent(facts());
  CHECK(json["now_ms"] == 1'817'196'072'500);
  CHECK(json["local"] == "10:41:12");
  CHECK(json["mode"] == "SIMULATED: keep the camera filter on");
  CHECK(json["next_contact"] == nlohmann::json{{"name", "C2"}, {"at_ms", 1'817'196'082'500}});
  CHECK(json["totality"] == nlohmann::json{{"total_ms", 292'000}});
  CHECK(json["needed"] == nlohmann::json{{"at_ms", 1'817'196'077'500}, {"words", "aim at long"}});
  CHECK(json["last"].is_null());
  CHECK(json["moon"] ==
        nlohmann::json{{"radius", 1.03}, {"north", 0.5}, {"east", -0.25}, {"zenith_deg", 12.0}});
  CHECK(json["alarms"][0]["words"] == "the cable is off");
  const auto rig = json["rigs"][0];
  CHECK(rig["filter"] == "filter OFF, assumed");
  CHECK(rig["filter_state"] == "off");
  CHECK(rig["next_exposures"] == "2 frames, 1/1000 f/8 ISO 200 to 1 s");
  CHECK(rig["exposure"] == "1/1000 f/8 ISO 200");
  CHECK(rig["trim"] == "-1 stops");
  CHECK(rig["frames"] == "3/9 fired");
  CHECK(rig["late"] == "12 ms late");
  CHECK(rig["battery_percent"] == 82);
  CHECK(rig["card_frames"] == 512);
  CHECK(rig["next_ms"] == 1'817'196'074'500);
}

TEST_CASE("what isn't known isn't sent") {
  auto given = facts();
  given.in_totality = status::Totality{60s, 292s};
  given.moon.reset();
  given.next_contact.reset();
  given.rigs[0] = {};
  const auto json = sent(given);
  CHECK(json["totality"]["elapsed_ms"] == 60'000);
  CHECK(json["moon"].is_null());
  CHECK(json["next_contact"].is_null());
  const auto rig = json["rigs"][0];
  CHECK(rig["filter_state"] == "none");
  CHECK(rig["trim"] == "");
  for (const auto* absent : {"exposure", "late", "battery_percent", "card_frames", "next_ms"})
    CHECK_FALSE(rig.contains(absent));
}

TEST_CASE("whatever names hold, it is one line of JSON without escape codes") {
  auto given = facts();
  given.title = "</script><img src=x onerror=alert(1)>\x1b[2J\n\ndata: {}\xff";
  given.rigs[0].rig = given.title;
  const auto json = sent(given);
  CHECK(json["title"] == "</script><img src=x onerror=alert(1)>\uFFFD[2J\uFFFD\uFFFDdata: {}\uFFFD");
  CHECK(json["rigs"][0]["name"] == json["title"]);
}
