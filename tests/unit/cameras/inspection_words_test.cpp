// The lines of a camera process: what is written is read back to the same value, what isn't ours is refused.
#include <doctest/doctest.h>

#include "daemon/cameras/inspection_words.h"
#include "lib/exposure/scale.h"

using namespace noonfall;
using namespace noonfall::cameras;
using namespace std::chrono_literals;

namespace {

body::Description full_sheet() {
  body::Description told;
  told.serial = "3012345";
  told.port = "usb:001,005";
  told.model = "invented \"body\"\n";
  told.family = "b";
  told.battery_percent = 75;
  told.slot = body::CardSlot::holds_card;
  told.card = body::Card{{1234.5}, {64'000}, true};
  told.saved_to = body::SavedTo::memory;
  told.mode = body::Said<body::ExposureMode>{body::ExposureMode::bulb, "Bulb"};
  told.focus = body::Said<body::Focusing>{body::Focusing::by_itself, "One Shot"};
  told.drive = body::Said<body::DriveMode>{body::DriveMode::other, "Timer 2 sec"};
  told.files = body::Said<body::Files>{body::Files::raw_and_jpeg, "RAW + Large Fine JPEG"};
  told.live_view = true;
  told.mirror_lock_up = false;
  told.noise_reduction = true;
  told.power_off = 90s;
  told.clock_offset = -3600s;
  told.choices = {{{1, 4000}, {1, 60}, {13, 10}, {30, 1}}, {{28}, {80}}, {{100}, {25600}}};
  told.offers_burst = true;
  told.opening = body::OpeningStamp::told;
  return told;
}

void check_same_again(const Said& said) {
  const auto line = encode(said);
  INFO(line);
  CHECK(line.find('\n') == line.size() - 1);
  const auto read = decode_said(line);
  REQUIRE(read.has_value());
  CHECK(*read == said);
}

}  // namespace

TEST_CASE("each line is read back to what was said") {
  check_same_again(full_sheet());
  check_same_again(body::Description{});
  auto without_card = full_sheet();
  without_card.slot = body::CardSlot::empty;
  without_card.card.reset();
  check_same_again(without_card);
  auto untold_room = full_sheet();
  untold_room.card.reset();
  check_same_again(untold_room);
  check_same_again(Unopened{"usb:001,004", "a body", "held by another program", true});
  check_same_again(measure::Extent{336, 187s});
  check_same_again(InspectionProgress{"bursts", 60, 336});
  check_same_again(MeasuredProfile{132, "noonfall_body: 1\n"});
  const rig::SettingsCall asked{{{1, 500}, exposure::FNumber{80}, {200}}, body::Drive::continuous};
  check_same_again(SettingsTrial{asked,
                                 {{"1/500", "0.0020s"}, {"f/8", ""}},
                                 rig::Answer::refused,
                                 {{{1, 400}, std::nullopt, {200}}, body::Drive::single},
                                 42ms,
                                 "the body refused f/8"});
  check_same_again(InspectionFailure{"no-body", "no body with serial number 7 is there", "\"8\""});
}

TEST_CASE("settings to try are read back to the same call") {
  const rig::SettingsCall call{{{13, 10}, std::nullopt, {100}}, body::Drive::single};
  const auto read = decode_settings(encode(call));
  REQUIRE(read.has_value());
  CHECK(*read == call);
}

TEST_CASE("what isn't a line of ours is refused, not believed") {
  for (const auto* line :
       {"", "{", "[]", "{}", R"({"say":"hello"})", R"({"say":"progress","part":"x","done":"1","of":2})",
        R"({"say":"body","serial":"1"})", R"({"say":"tried","asked":{"exposure":["1/0",null,1]}})"}) {
    INFO(line);
    const auto read = decode_said(line);
    REQUIRE_FALSE(read.has_value());
    CHECK(read.error().front().code == "camera-line");
  }
  CHECK_FALSE(decode_settings(R"({"exposure":["1/500","f/8"],"drive":"single"})").has_value());
}
