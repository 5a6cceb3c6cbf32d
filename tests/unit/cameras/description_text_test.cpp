// What a person reads of a body: whole texts.
#include <doctest/doctest.h>

#include "daemon/cameras/description_text.h"

using namespace noonfall;
using namespace noonfall::cameras;
using namespace std::chrono_literals;

TEST_CASE("a description says what the body told, what stops a run, and what to look up") {
  body::Description told;
  told.serial = "3012345";
  told.port = "usb:001,005";
  told.model = "invented\x1b[2Jbody";
  told.family = "b";
  told.battery_percent = 40;
  told.slot = body::CardSlot::holds_card;
  told.card = body::Card{{63'000}, {64'000}, false};
  told.mode = body::Said<body::ExposureMode>{body::ExposureMode::automatic, "Av"};
  told.files = body::Said<body::Files>{body::Files::raw, "RAW"};
  told.live_view = false;
  told.power_off = 0s;
  told.clock_offset = 3s;
  told.choices = {{{1, 4000}, {30, 1}}, {}, {{100}, {6400}}};
  told.offers_burst = true;
  CHECK(
      to_text(told) ==
      "3012345  invented\uFFFD[2Jbody, family b, at usb:001,005\n"
      "  battery 40 %, card 63.0 of 64.0 GB free\n"
      "  mode \"Av\", files \"RAW\", live view off, stays on, clock +3 s off this computer's\n"
      "  1/4000 to 30 s, ISO 100 to ISO 6400, bursts\n"
      "  STOPS A RUN: the exposure mode is \"Av\" (wanted: the mode dial at M)\n"
      "  look at:    the battery is at 40 % (wanted: a full battery, or a mains coupler)\n"
      "  it doesn't tell, so look yourself: manual focus, single frames, mirror lock-up off, noise reduction "
      "of long exposures off\n");
}

TEST_CASE("a body that tells nothing of its switches has no line for them") {
  body::Description told;
  told.serial = "3012345";
  told.model = "a body";
  told.family = "panasonic";
  told.port = "usb:001,005";
  CHECK(
      to_text(told).starts_with("3012345  a body, family panasonic, at usb:001,005\n"
                                "  battery: not told, card: not told\n"
                                "  no exposure settings\n"));
}

TEST_CASE("a body that can't be opened is told with who holds it and the cure") {
  CHECK(to_text(Unopened{"usb:001,005", "invented body", "held by another program", true},
                {{4711, "viewer"}}) ==
        "invented body at usb:001,005 can't be opened: held by another program\n"
        "  held by viewer (process 4711)\n"
        "  wanted: that program ended, or its camera closed\n");
  CHECK(to_text(Unopened{"usb:001,005", "invented body", "no answer", false}, {}) ==
        "invented body at usb:001,005 can't be opened: no answer\n");
}

TEST_CASE("trials are a table of what was asked, chosen and read back") {
  const rig::SettingsCall one{{{1, 500}, exposure::FNumber{80}, {200}}, body::Drive::single};
  const rig::SettingsCall other{{{1, 400}, exposure::FNumber{80}, {200}}, body::Drive::single};
  const std::vector<SettingsTrial> trials{
      {one, {{"1/500", "0.0020s"}, {"f/8", "8"}}, rig::Answer::ok, one, 42ms, ""},
      {one, {{"1/500", "0.0025s"}, {"f/8", ""}}, rig::Answer::ok, other, 7ms, ""},
      {one, {}, rig::Answer::busy, {}, 20s, "the body is busy"}};
  CHECK(to_text(trials) ==
        "  asked                      chosen on the body         took  read back\n"
        "  1/500 f/8 ISO 200, single  0.0020s, 8                42 ms  as asked\n"
        "  1/500 f/8 ISO 200, single  0.0025s, nothing near      7 ms  1/400 f/8 ISO 200, single\n"
        "  1/500 f/8 ISO 200, single                         20000 ms  nothing: the body is busy\n");
}
