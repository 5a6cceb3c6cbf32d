// What the library's driver makes of each family: the labels are the driver's own.
#include <algorithm>

#include <doctest/doctest.h>

#include "lib/exposure/exposure.h"
#include "tests/wire/bodies.h"
#include "tests/wire/host_camera.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

/// Where a family keeps the settings of an exposure, and how its driver writes 1/500, f/8, ISO 400.
struct Names {
  std::string family;
  std::string shutter;
  std::string aperture;
  std::string shutter_value;
  std::string aperture_value;
};
const Names all_names[] = {{"generic", "shutterspeed", "f-number", "0.0020s", "f/8"},
                           {"a", "shutterspeed2", "f-number", "1/500", "f/8"},
                           {"b", "shutterspeed", "aperture", "1/500", "8"}};

bool has(const std::vector<std::string>& list, const std::string& wanted) {
  return std::ranges::count(list, wanted) == 1;
}

/// A family but the generic one keeps its pictures from the card unless told.
void shoot_to_card(HostCamera& camera, const Names& names) {
  if (names.family != "generic") camera.settle("capturetarget", "Memory card");
}

std::vector<std::string> paths_on_card(const Body& body) {
  std::vector<std::string> paths;
  for (const auto& frame : body.taken()) {
    for (const auto& file : frame.files) paths.push_back("/store_00010001/" + file);
  }
  return paths;
}

}  // namespace

TEST_CASE("settings are listed, set and read back, and a picture is taken with them") {
  for (const auto& names : all_names) {
    CAPTURE(names.family);
    const Usb usb;
    const Body body{usb, names.family};
    HostCamera camera;
    camera.open_only();
    CHECK(has(camera.choices(names.shutter), names.shutter_value));
    CHECK(has(camera.choices(names.aperture), names.aperture_value));
    CHECK(has(camera.choices("iso"), "400"));
    shoot_to_card(camera, names);
    camera.settle(names.shutter, names.shutter_value);
    camera.settle(names.aperture, names.aperture_value);
    camera.settle("iso", "400");
    camera.shoot();
    const auto files = camera.files(1);
    CHECK(files == paths_on_card(body));
    CHECK(camera.listing() == paths_on_card(body));
    REQUIRE(body.taken().size() == 1);
    CHECK(body.taken().front().exposure == exposure::Exposure{{1, 500}, exposure::FNumber{80}, {400}});
  }
}

TEST_CASE("raw and jpeg are two files of one frame") {
  struct Format {
    std::string family;
    std::string setting;
    std::string value;
  };
  for (const auto& [family, setting, value] :
       {Format{"a", "imagequality", "NEF+Fine"}, Format{"b", "imageformat", "RAW + Large Fine JPEG"}}) {
    CAPTURE(family);
    const Usb usb;
    const Body body{usb, family};
    HostCamera camera;
    camera.open_only();
    camera.settle("capturetarget", "Memory card");
    camera.settle(setting, value);
    camera.shoot();
    CHECK(camera.files(2) == std::vector<std::string>{"/store_00010001/DCIM/100NOONF/NOON0001.RAW",
                                                      "/store_00010001/DCIM/100NOONF/NOON0001.JPG"});
    CHECK(body.taken().size() == 1);
  }
}

TEST_CASE("battery, serial number, and room on the card are told") {
  for (const auto& names : all_names) {
    CAPTURE(names.family);
    const Usb usb;
    const Body body{usb, names.family, {"--serial", "3012345"}};
    HostCamera camera;
    camera.open_only();
    CHECK(camera.value("batterylevel") == "100%");
    CHECK(camera.value("serialnumber") == "3012345");
    // The profile's card of 128 GB holds 5120 files of 25 MB.
    CHECK(camera.room().kilobytes == 128'000'000'000 / 1024);
    CHECK(camera.room().pictures == 5120);
    CHECK(camera.listing().empty());
  }
}

TEST_CASE("bursts: a number of frames, or as long as the button is held") {
  for (const std::string family : {"generic", "a"}) {
    CAPTURE(family);
    const Usb usb;
    const Body body{usb, family};
    HostCamera camera;
    camera.open_only();
    if (family == "a") camera.settle("capturetarget", "Memory card");
    camera.settle("capturemode", "Burst");
    REQUIRE(camera.set("burstnumber", "4") == GP_OK);
    camera.shoot();
    CHECK(camera.files(4) == paths_on_card(body));
    CHECK(body.taken().size() == 4);
  }
  const Usb usb;
  const Body body{usb, "b"};
  HostCamera camera;
  camera.open_only();
  camera.settle("capturetarget", "Memory card");
  camera.settle("drivemode", "Continuous");
  camera.press_when_free("eosremoterelease", "Press Full");  // the drive may still be changing
  (void)camera.events_within(std::chrono::milliseconds{500});
  REQUIRE(camera.set("eosremoterelease", "Release Full") == GP_OK);
  (void)camera.files(2);
  CHECK(body.taken().size() > 2);
}

TEST_CASE("a picture taken for the host alone isn't on the card, and can be fetched") {
  for (const std::string family : {"a", "b"}) {
    CAPTURE(family);
    const Usb usb;
    const Body body{usb, family};
    HostCamera camera;
    camera.open_only();
    camera.settle("capturetarget", "Internal RAM");
    camera.shoot();
    const auto files = camera.files(1);
    // The library invents a name in a folder that no card has.
    CHECK(files.front().starts_with("//capt0000"));
    const auto content = camera.content("/", files.front().substr(2));
    CHECK(content.size() == 25'000'000);
    CHECK(content.starts_with("noonfall simulated picture NOON0001.RAW"));
    CHECK(body.taken().size() == 1);
  }
}

TEST_CASE("a file is fetched whole from the card") {
  for (const auto& names : all_names) {
    CAPTURE(names.family);
    const Usb usb;
    const Body body{usb, names.family};
    HostCamera camera;
    camera.open_only();
    shoot_to_card(camera, names);
    camera.shoot();
    (void)camera.files(1);
    const auto content = camera.content("/store_00010001/DCIM/100NOONF", "NOON0001.RAW");
    CHECK(content.size() == 25'000'000);
    CHECK(content.starts_with("noonfall simulated picture NOON0001.RAW"));
  }
}
