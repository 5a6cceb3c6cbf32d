// What the library's driver makes of the families that are named after their makers: the labels, and what
// doesn't work, are those of libgphoto2 2.5.30.
#include <algorithm>

#include <doctest/doctest.h>

#include "tests/wire/bodies.h"
#include "tests/wire/host_camera.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;
using exposure::Exposure;
using exposure::FNumber;

namespace {

const Exposure quick{{1, 500}, FNumber{80}, {400}};

bool has(const std::vector<std::string>& list, const std::string& wanted) {
  return std::ranges::count(list, wanted) == 1;
}

std::size_t count(const std::vector<HostEvent>& events, CameraEventType type) {
  return static_cast<std::size_t>(std::ranges::count(events, type, &HostEvent::type));
}

std::vector<std::string> traits(const std::vector<std::string>& words) {
  std::vector<std::string> options;
  for (const auto& word : words) options.insert(options.end(), {"--trait", word});
  return options;
}

void set_quick(HostCamera& camera, const std::string& aperture = "f-number", const std::string& f_8 = "f/8") {
  camera.settle("shutterspeed", "1/500");
  camera.settle(aperture, f_8);
  camera.settle("iso", "400");
  (void)camera.events_within(200ms);
}

}  // namespace

TEST_CASE("Sony: a body under the driver's control, as its dumps show it") {
  const Usb usb;
  const Body body{usb, "sony", traits({"more-settings=60"})};
  HostCamera camera;
  camera.open_only();
  CHECK(camera.value("manufacturer") == "Sony Corporation");
  CHECK(camera.value("batterylevel") == "100%");
  CHECK(camera.value("expprogram") == "M");
  CHECK(camera.value("focusmode") == "Manual");
  CHECK(camera.choices("shutterspeed").size() == 62);  // the driver's own list, whatever the body has
  CHECK(has(camera.choices("capturemode"), "Continuous Hi+ Speed"));
  CHECK(camera.choices("capturetarget") == std::vector<std::string>{"sdram", "card+sdram", "card"});
  CHECK(camera.choices("da3b").size() == 4);
  CHECK(camera.listing().empty());  // no store is shown
}

TEST_CASE("Sony: values are stepped to, a picture for the host is downloaded within waiting for news") {
  for (const auto& words : {traits({}), traits({"single-notches"}), traits({"direct-times"})}) {
    const Usb usb;
    const Body body{usb, "sony", words};
    HostCamera camera;
    camera.open_only();
    set_quick(camera);
    REQUIRE(camera.trigger() == GP_OK);
    CHECK(camera.files(1) == std::vector<std::string>{"//capt0000.arw"});
    CHECK(camera.content("/", "capt0000.arw").starts_with("noonfall simulated picture NOON0001.RAW"));
    REQUIRE(body.taken().size() == 1);
    CHECK(body.taken().front().exposure == quick);
  }
}

TEST_CASE("Sony: the card is set by the property's number alone, and no picture is announced then") {
  const Usb usb;
  const Body body{usb, "sony"};
  HostCamera camera;
  camera.open_only();
  set_quick(camera);
  CHECK(camera.set("capturetarget", "card") != GP_OK);  // an entry of type 0: config.c:10567, 11626
  CHECK(camera.value("capturetarget") == "sdram");
  camera.settle("d222", "16");
  CHECK(camera.value("capturetarget") == "card");
  REQUIRE(camera.trigger() == GP_OK);
  CHECK(count(camera.events_within(1500ms), GP_EVENT_FILE_ADDED) == 0);
  CHECK(body.taken().size() == 1);
}

TEST_CASE("Sony: saved to both, a picture is on the card and is downloaded too") {
  const Usb usb;
  const Body body{usb, "sony", traits({"saves-to=both"})};
  HostCamera camera;
  camera.open_only();
  CHECK(camera.value("capturetarget") == "card+sdram");
  REQUIRE(camera.trigger() == GP_OK);
  CHECK(camera.files(1) == std::vector<std::string>{"//capt0000.arw"});
  CHECK(camera.content("/", "capt0000.arw").size() == 25'000'000);
  CHECK(camera.listing().size() == 1);  // what the driver has downloaded
  CHECK(body.taken().size() == 1);
}

TEST_CASE("Sony: held down, its button takes a burst, and the driver's trigger takes one frame") {
  const Usb usb;
  const Body body{usb, "sony", traits({"saves-to=card"})};
  HostCamera camera;
  camera.open_only();
  camera.settle("capturemode", "Continuous Hi+ Speed");
  (void)camera.events_within(200ms);
  REQUIRE(camera.trigger() == GP_OK);
  (void)camera.events_within(500ms);
  CHECK(body.taken().size() == 1);
  REQUIRE(camera.turn("capture", true) == GP_OK);
  (void)camera.events_within(500ms);
  REQUIRE(camera.turn("capture", false) == GP_OK);
  CHECK(body.taken().size() > 3);
}

TEST_CASE(
    "Sony: a body that hides its buttons has the driver's trigger alone, which does nothing too early") {
  const Usb usb;
  const Body body{usb, "sony", traits({"hides-buttons", "saves-to=card"})};
  HostCamera camera;
  camera.open_only();
  CHECK_FALSE(camera.has("capture"));  // dump sony-a7m4: D2C1 to D2D0 answer 2002
  REQUIRE(camera.trigger() == GP_OK);
  REQUIRE(camera.trigger() == GP_OK);
  CHECK(body.taken().size() == 1);
}

TEST_CASE("Fujifilm: a body under the driver's control, as its dumps show it") {
  const Usb usb;
  const Body body{usb, "fuji", traits({"more-settings=90"})};
  HostCamera camera;
  camera.open_only();
  CHECK(camera.value("manufacturer") == "FUJIFILM");
  CHECK(camera.value("capturemode") == "Self-timer");  // the driver's name for what isn't one
  CHECK(camera.is_read_only("capturemode"));
  CHECK_FALSE(camera.has("capturetarget"));
  CHECK_FALSE(camera.has("batterylevel"));  // 5001: error 200A
  CHECK(camera.value("d36b") == "100,0,0");
  CHECK(has(camera.choices("imageformat"), "RAW + JPEG Fine"));
  CHECK(has(camera.choices("iso"), "-3"));
  CHECK(camera.room().kilobytes > 17'000'000'000'000);  // "Still", without a size
}

TEST_CASE(
    "Fujifilm: busy after a picture until its copy in the buffer is deleted, and fetching isn't enough") {
  const Usb usb;
  const Body body{usb, "fuji"};
  HostCamera camera;
  camera.open_only();
  set_quick(camera);
  for (int n = 1; n <= 2; ++n) {
    REQUIRE(camera.trigger() == GP_OK);
    const auto name = "NOON000" + std::to_string(n) + ".RAW";
    CHECK(camera.files(1) == std::vector<std::string>{"/store_10000001/" + name});
    CHECK(camera.trigger() == GP_ERROR_CAMERA_BUSY);
    CHECK(camera.content("/store_10000001", name).starts_with("noonfall simulated picture " + name));
    CHECK(camera.trigger() == GP_ERROR_CAMERA_BUSY);
    REQUIRE(camera.erase("/store_10000001", name) == GP_OK);
  }
  REQUIRE(body.taken().size() == 2);
  CHECK(body.taken().back().exposure == quick);
}

TEST_CASE("Fujifilm: a stroke without focusing takes a picture, and a larger buffer more than one") {
  const Usb usb;
  const Body body{usb, "fuji", traits({"host-buffer=3", "saves-to=both"})};
  HostCamera camera;
  camera.open_only();
  CHECK(camera.value("d20c") == "3");
  CHECK(camera.value("d20e") == "3");
  for (std::size_t n = 1; n <= 3; ++n) {
    camera.settle("d208", "772");
    camera.press_when_free("opcode", "0x100e,0x0,0x0");
    (void)camera.files(1);
    CHECK(body.taken().size() == n);
  }
  CHECK(camera.set("opcode", "0x100e,0x0,0x0") == GP_ERROR_CAMERA_BUSY);
}

TEST_CASE("Panasonic: settings are there, the driver's trigger isn't, and its operation takes a picture") {
  const Usb usb;
  const Body body{usb, "panasonic"};
  HostCamera camera;
  camera.open_only();
  CHECK(camera.value("manufacturer") == "Panasonic");
  CHECK(camera.value("batterylevel") == "100%");
  CHECK(camera.choices("capturetarget") == std::vector<std::string>{"Internal RAM", "Memory card"});
  // 1/3.2, 1/2.5 and their like, where others say 0.3 s and 0.4 s; config.c:8771.
  for (const std::string time : {"1/8000", "1/3.2", "1/2.5", "1/1.3", "1", "1.3", "30"})
    CHECK(has(camera.choices("shutterspeed"), time));
  camera.settle("shutterspeed", "1/1.3");
  set_quick(camera, "f-number", "8");
  CHECK(camera.trigger() == GP_ERROR_NOT_SUPPORTED);
  CHECK(body.taken().empty());
  REQUIRE(camera.set("opcode", "0x9404,0x3000011") == GP_OK);
  CHECK(camera.set("opcode", "0x9404,0x3000011") == GP_ERROR_CAMERA_BUSY);
  CHECK(camera.files(1) == std::vector<std::string>{"/store_00010001/DCIM/100NOONF/NOON0001.RAW"});
  REQUIRE(body.taken().size() == 1);
  CHECK(body.taken().front().exposure == quick);
}

TEST_CASE("Panasonic: pointed to the memory, a picture isn't announced by a name that the driver knows") {
  const Usb usb;
  const Body body{usb, "panasonic"};
  HostCamera camera;
  camera.open_only();
  REQUIRE(camera.set("capturetarget", "Internal RAM") == GP_OK);
  REQUIRE(camera.set("opcode", "0x9404,0x3000011") == GP_OK);
  const auto told = camera.events_within(1500ms);
  CHECK(count(told, GP_EVENT_FILE_ADDED) == 0);
  CHECK(std::ranges::any_of(told, [](const auto& each) { return each.text.starts_with("PTP Event c109"); }));
  CHECK(body.taken().size() == 1);
}

TEST_CASE("Olympus: told by its name it has settings and bulb, and a button down and up by operation") {
  const Usb usb;
  const Body body{usb, "olympus"};
  HostCamera camera;
  camera.open_only();
  CHECK(camera.value("manufacturer") == "OLYMPUS");
  CHECK(has(camera.choices("imageformat"), "Large Fine JPEG+RAW"));
  CHECK(has(camera.choices("iso"), "Auto"));
  CHECK(camera.value("focusmode") == "Manual");
  // 10/13, 10/16 and 10/25 are how the driver writes 0.8, 0.6 and 0.4 s; dump om-system-om-1: D01C.
  for (const std::string time : {"1/8000", "1/3", "10/25", "10/16", "10/13", "1", "13/10", "30", "Bulb"})
    CHECK(has(camera.choices("shutterspeed"), time));
  // 10/20 is shown as 1/2 and sent as that, which the body doesn't have: config.c:4633, 4694.
  CHECK(camera.set("shutterspeed", "1/2") == GP_ERROR_BAD_PARAMETERS);
  set_quick(camera, "aperture", "8.0");
  CHECK(camera.trigger() == GP_ERROR_NOT_SUPPORTED);
  REQUIRE(camera.set("opcode", "0x9481,0x3") == GP_OK);
  REQUIRE(camera.set("opcode", "0x9481,0x6") == GP_OK);
  CHECK(camera.files(1) == std::vector<std::string>{"/store_00010001/DCIM/100NOONF/NOON0001.RAW"});
  REQUIRE(body.taken().size() == 1);
  CHECK(body.taken().front().exposure == quick);
}

TEST_CASE("OM System: under its newer name the driver knows none of its settings") {
  const Usb usb;
  const Body body{usb, "olympus", traits({"maker=OMSYSTEM"})};
  HostCamera camera;
  camera.open_only();
  CHECK(camera.value("manufacturer") == "OMSYSTEM");
  CHECK_FALSE(camera.has("shutterspeed"));  // library.c:389
  CHECK(camera.has("d01c"));
}
