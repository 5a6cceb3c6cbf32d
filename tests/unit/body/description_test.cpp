// What on a body's sheet would stop a run. The list is common practice of tethered shooting, no source.
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "lib/body/description.h"

using namespace noonfall;
using namespace noonfall::body;
using namespace std::chrono_literals;

namespace {

Description ready_body() {
  Description told;
  told.serial = "3012345";
  told.battery_percent = 100;
  told.slot = CardSlot::holds_card;
  told.card = Card{{63'000}, {64'000}, false};
  told.saved_to = SavedTo::card;
  told.mode = Said<ExposureMode>{ExposureMode::manual, "M"};
  told.focus = Said<Focusing>{Focusing::by_hand, "Manual"};
  told.drive = Said<DriveMode>{DriveMode::single, "Single"};
  told.files = Said<Files>{Files::raw, "RAW"};
  told.live_view = false;
  told.mirror_lock_up = false;
  told.noise_reduction = false;
  told.power_off = 0s;
  return told;
}

/// The one finding: "error mode-dial: …".
std::string only_finding(const Description& told, const Demand& demand = {}) {
  const auto found = obstacles(told, demand);
  REQUIRE(found.size() == 1);
  const auto& one = found.front();
  return std::string{one.severity == Severity::error ? "error" : "warning"} + " " + one.code + ": " +
         one.message + " | " + one.hint;
}

}  // namespace

TEST_CASE("nothing stops a body that is set as it should be, and nothing is left to look up") {
  CHECK(obstacles(ready_body(), {Files::raw, {50'000}}).empty());
  CHECK(untold(ready_body()).empty());
}

TEST_CASE("each thing that would stop a run is named, with what to set") {
  auto told = ready_body();
  told.mode = Said<ExposureMode>{ExposureMode::automatic, "Av"};
  CHECK(only_finding(told) == "error mode-dial: the exposure mode is \"Av\" | the mode dial at M");
  told = ready_body();
  told.mode = Said<ExposureMode>{ExposureMode::bulb, "Bulb"};
  CHECK(only_finding(told) == "error mode-dial: the exposure mode is bulb | the mode dial at M");
  told = ready_body();
  told.focus = Said<Focusing>{Focusing::by_itself, "One Shot"};
  CHECK(only_finding(told) ==
        "error autofocus: autofocus is on (\"One Shot\") | manual focus, on the lens and on the body");
  told = ready_body();
  told.drive = Said<DriveMode>{DriveMode::other, "Timer 2 sec"};
  CHECK(only_finding(told) ==
        "error drive: the drive mode is \"Timer 2 sec\" | single frames: no self-timer, no mirror up");
  told = ready_body();
  told.live_view = true;
  CHECK(only_finding(told) ==
        "error live-view: live view is on | live view off; it drains the battery and holds the shutter");
  told = ready_body();
  told.slot = CardSlot::empty;
  told.card.reset();
  CHECK(only_finding(told) == "error no-card: there is no card in the body | a card");
  told = ready_body();
  told.card->read_only = true;
  CHECK(only_finding(told) == "error read-only-card: the card is write-protected | its lock slid open");
  told = ready_body();
  told.saved_to = SavedTo::memory;
  CHECK(only_finding(told) ==
        "error saved-elsewhere: pictures go to the body's memory and would be lost | pictures saved to the "
        "card");
  told = ready_body();
  told.serial.clear();
  CHECK(only_finding(told) ==
        "error no-serial: the body tells no serial number | a body that a plan can name");
}

TEST_CASE("a continuous drive mode stops nothing: the plan sets it") {
  auto told = ready_body();
  told.drive = Said<DriveMode>{DriveMode::continuous, "Burst"};
  CHECK(obstacles(told).empty());
}

TEST_CASE("battery and power-off warn before they stop") {
  auto told = ready_body();
  told.battery_percent = 49;
  CHECK(only_finding(told) ==
        "warning low-battery: the battery is at 49 % | a full battery, or a mains coupler");
  told.battery_percent = 19;
  CHECK(only_finding(told) ==
        "error low-battery: the battery is at 19 % | a full battery, or a mains coupler");
  told = ready_body();
  told.power_off = 1min;
  CHECK(only_finding(told) ==
        "error power-off: the body switches itself off after 1 min | auto power-off set to off in the body's "
        "menu");
  told.power_off = 1h;
  CHECK(only_finding(told).starts_with("warning power-off: the body switches itself off after 1 h"));
}

TEST_CASE("the card is held against what the plan takes, and a fifth more") {
  auto told = ready_body();
  CHECK(only_finding(told, {std::nullopt, {53'000}}) ==
        "error card-full: 63.0 GB are free on the card | 63.6 GB, a fifth more than the plan takes");
  told.card = Card{{0}, {64'000}, false};
  CHECK(only_finding(told) == "error card-full: 0.0 GB are free on the card | an empty, formatted card");
  told.card = Card{{40'000}, {64'000}, false};
  CHECK(only_finding(told) ==
        "warning card-not-empty: 24.0 of the card's 64.0 GB are taken | an empty, formatted card: listing a "
        "full one costs seconds");
}

TEST_CASE("files that the plan doesn't count on are an error") {
  auto told = ready_body();
  told.files = Said<Files>{Files::raw_and_jpeg, "RAW + Large Fine JPEG"};
  CHECK(
      only_finding(told, {Files::raw, {}}) ==
      "error file-format: the body writes \"RAW + Large Fine JPEG\", the plan wants raw | the image quality "
      "of the plan, or `files` of the rig as the body has it");
}

TEST_CASE("what the body doesn't tell stops nothing and is asked of a person") {
  Description silent;
  silent.serial = "1";
  CHECK(obstacles(silent).empty());
  CHECK(untold(silent) ==
        std::vector<std::string>{"the mode dial at M", "manual focus", "single frames", "the image quality",
                                 "a card with room", "a full battery", "live view off", "mirror lock-up off",
                                 "noise reduction of long exposures off", "auto power-off off"});
}
