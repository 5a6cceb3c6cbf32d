// How preflight judges what it finds. The limits are our own judgement.
#include "daemon/preflight/items.h"

#include <doctest/doctest.h>

#include <filesystem>

#include "daemon/preflight/gather.h"
#include "lib/contacts/circumstances.h"
#include "tests/program/run_program.h"

using namespace noonfall;
using namespace noonfall::preflight;
using namespace std::chrono_literals;
using contacts::ContactName;

namespace {

contacts::Circumstances at(contacts::Site site) {
  const auto* elements =
      contacts::find_elements(contacts::built_in_elements(), Date{std::chrono::year{2027} / 8 / 2});
  REQUIRE(elements != nullptr);
  return contacts::circumstances(*elements, site,
                                 contacts::settings_for(built_in_leap_seconds(), {}, Duration{}));
}

// an invented headland inside the path
const contacts::Site headland{{36.0139}, {-5.6033}, {12}};

Item judged(Degrees latitude, Degrees longitude) {
  return judge_site(at(headland), built_in_leap_seconds(), clock::GpsPosition{latitude, longitude, {}});
}

}  // namespace

TEST_CASE("a clock fails at grade F, and the remedy says what to do") {
  using shotlog::ClockGrade;
  CHECK(judge_clock({ClockGrade::a, 3ms}, "chronyd: 3 ms").verdict == Verdict::pass);
  CHECK(judge_clock({ClockGrade::b, 50ms}, "gpsd").verdict == Verdict::pass);
  CHECK(judge_clock({ClockGrade::c, 400ms}, "gpsd").verdict == Verdict::warn);
  const auto none = judge_clock({}, "no source");
  CHECK(none.verdict == Verdict::fail);
  CHECK(none.words == "grade F, no source");
  CHECK(none.remedy.find("docs/timing.md") != std::string::npos);
}

TEST_CASE("the site passes where the receiver is, and fails where second contact is another one") {
  CHECK(judged(headland.latitude, headland.longitude).verdict == Verdict::pass);
  // 0.11 degrees of latitude are 12 km: the metre was to be a ten-millionth of the quadrant
  const auto away = judged({36.0139 - 0.108}, headland.longitude);
  CHECK(away.verdict == Verdict::fail);
  const auto moved = headland.latitude.value - 0.108;
  const auto differs =
      std::abs(in_seconds(at({{moved}, headland.longitude, headland.height}).at(ContactName::c2)->utc -
                          at(headland).at(ContactName::c2)->utc));
  REQUIRE(differs > 1);
  CAPTURE(away.words);
  CHECK(away.words.starts_with("12 km from the plan's site: C2 differs by "));
  CHECK(away.remedy.find("--amend") != std::string::npos);
}

TEST_CASE("a receiver on another continent sees another eclipse") {
  const auto far = judged({0}, {90});
  CHECK(far.verdict == Verdict::fail);
  CHECK(far.words.find("the eclipse is ") != std::string::npos);
}

TEST_CASE("without a receiver the site is to be looked at by a person") {
  CHECK(judge_site(at(headland), built_in_leap_seconds(), {}).verdict == Verdict::warn);
}

TEST_CASE("power: mains pass, a half-empty battery fails, a closed lid warns") {
  CHECK(judge_power({}).verdict == Verdict::pass);
  CHECK(judge_power({true, 80, true}).verdict == Verdict::pass);
  CHECK(judge_power({false, 80, true}).verdict == Verdict::warn);
  CHECK(judge_power({false, 30, {}}).verdict == Verdict::fail);
  CHECK(judge_power({true, 80, false}).remedy == "the lid open");
}

TEST_CASE("room on the disk") {
  CHECK(judge_room({5000}).verdict == Verdict::pass);
  CHECK(judge_room({100}).verdict == Verdict::fail);
}

TEST_CASE("a body that isn't found fails, one that is found is judged by its sheet") {
  const auto gone = judge_body("long", {}, "", {});
  REQUIRE(gone.size() == 1);
  CHECK(gone.front().verdict == Verdict::fail);
  CHECK(to_text(gone.front()) ==
        "FAIL long: its body isn't on a cable\n       do: switched on, plugged in at both ends, held by no "
        "other "
        "program (docs/cameras.md)");
  body::Description told;
  told.model = "A body";
  told.battery_percent = 3;
  told.meddling = {{body::Meddling::auto_iso, "on"}};
  const auto items = judge_body("long", told, "", {});
  CHECK(std::any_of(items.begin(), items.end(),
                    [](const Item& item) { return item.verdict == Verdict::fail; }));
  CHECK(items.back().words.find("white balance") != std::string::npos);
}

// kernel documentation, ABI/testing/sysfs-class-power
TEST_CASE("the kernel's files tell of mains and battery") {
  const tests::ScratchFolder scratch;
  const auto put = [&](const std::string& folder, const char* name, const char* text) {
    std::filesystem::create_directories(scratch.path(folder));
    scratch.file(folder + "/" + name, text);
  };
  put("sys/class/power_supply/AC", "type", "Mains\n");
  put("sys/class/power_supply/AC", "online", "0\n");
  put("sys/class/power_supply/BAT0", "type", "Battery\n");
  put("sys/class/power_supply/BAT0", "capacity", "72\n");
  put("sys/class/power_supply/mouse", "type", "Battery\n");
  put("sys/class/power_supply/mouse", "scope", "Device\n");
  put("sys/class/power_supply/mouse", "capacity", "5\n");
  put("proc/acpi/button/lid/LID0", "state", "state:      closed\n");
  const auto power = read_power(scratch.path(""));
  CHECK(power.mains == false);
  CHECK(power.battery_percent == 72);
  CHECK(power.lid_open == false);
  const auto nothing = read_power(scratch.path("nowhere"));
  CHECK_FALSE(nothing.mains.has_value());
}
