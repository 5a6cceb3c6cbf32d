// A resolved script, handed on as text, gives the same faults.
#include "sim/body/fault_text.h"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "sim/body/fault_script.h"

namespace noonfall::sim {
namespace {

using namespace std::chrono_literals;

constexpr Utc noon{std::chrono::sys_days{std::chrono::year{2027} / 8 / 2} + 12h};

/// Nothing when the text isn't taken.
std::vector<Fault> read_back(const std::string& rig, const std::vector<Fault>& faults) {
  const auto script = parse_fault_script(to_script(rig, faults));
  if (!script) return {};
  const std::vector<std::string> rigs{rig};
  const auto resolved = resolve_faults(*script, {}, rigs);
  return resolved ? resolved->front() : std::vector<Fault>{};
}

Duration between(Duration low, Duration high) {
  return Duration{*rc::gen::inRange(low.count(), high.count() + 1)};
}

Effect any_effect() {
  // Rates as scripts can name them: per cents with up to three decimals.
  const double rate = *rc::gen::inRange(100, 100'001) / 1000.0 / 100;
  return *rc::gen::elementOf(std::vector<Effect>{
      BusyReleases{}, RefusedSetting{Setting::shutter}, RefusedSetting{Setting::aperture},
      RefusedSetting{Setting::iso}, RefusedSetting{Setting::drive},
      RefusedSetting{SettingValue{exposure::Shutter{1, 2000}}},
      RefusedSetting{SettingValue{exposure::Shutter{13, 10}}},
      RefusedSetting{SettingValue{exposure::FNumber{56}}}, RefusedSetting{SettingValue{exposure::Iso{200}}},
      RefusedSetting{SettingValue{body::Drive::continuous}}, LostFrame{LostFrame::Sign::no_word},
      LostFrame{LostFrame::Sign::unconfirmed}, BodyGone{}, SlowCard{rate}});
}

Fault any_fault() {
  Fault fault;
  fault.effect = any_effect();
  fault.from = noon + between(-24h, 24h);
  const bool lasts = std::holds_alternative<BodyGone>(fault.effect) ||
                     std::holds_alternative<SlowCard>(fault.effect) || *rc::gen::arbitrary<bool>();
  if (lasts) {
    fault.until = fault.from + between(1ms, 24h);
  } else {
    fault.count = *rc::gen::inRange(1, 1001);
  }
  return fault;
}

}  // namespace

TEST_CASE("faults as text are the same faults again") {
  CHECK(rc::check([] {
    std::vector<Fault> faults;
    for (int n = *rc::gen::inRange(1, 6); n > 0; --n) faults.push_back(any_fault());
    RC_ASSERT(read_back("long", faults) == faults);
  }));
}

TEST_CASE("a rig's name may be anything") {
  const std::vector<Fault> faults{{noon, noon + 3s, std::nullopt, BodyGone{}}};
  for (const std::string rig : {"long", "600 mm, #2", "true", "{a: b}", "12", "\xC3\xA9t\xC3\xA9"}) {
    CAPTURE(rig);
    CHECK(read_back(rig, faults) == faults);
  }
}

TEST_CASE("the text is what a person would write") {
  CHECK(
      to_script("long", std::vector<Fault>{{noon + 10s, Utc::max(), 2, LostFrame{}},
                                           {noon, noon + 90s, std::nullopt, SlowCard{0.25}},
                                           {noon, noon + 1s, std::nullopt,
                                            RefusedSetting{SettingValue{exposure::Iso{400}}}}}) ==
      "noonfall_faults: 1\n"
      "faults:\n"
      "  - {rig: long, fault: lost frame, answer: unconfirmed, from: 2027-08-02T12:00:10.000000Z, count: 2}\n"
      "  - {rig: long, fault: slow card, rate: 25 %, from: 2027-08-02T12:00:00.000000Z, for: 1 min 30 s}\n"
      "  - {rig: long, fault: refused setting, setting: {iso: 400}, from: 2027-08-02T12:00:00.000000Z, for: "
      "1 s}\n");
}

}  // namespace noonfall::sim
