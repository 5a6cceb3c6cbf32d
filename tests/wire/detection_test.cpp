#include <algorithm>

#include <doctest/doctest.h>

#include "tests/wire/bodies.h"
#include "tests/wire/host_camera.h"

using namespace noonfall;
using namespace noonfall::tests;

TEST_CASE("nobody is found on an empty USB") {
  const Usb usb;
  CHECK(detect().empty());
}

TEST_CASE("several bodies are found, each at its place, and told apart by serial number") {
  const Usb usb;
  const Body first{usb, "generic", {"--bus", "1", "--serial", "1001"}, "first"};
  const Body second{usb, "generic", {"--bus", "2", "--serial", "1002"}, "second"};
  const auto found = detect();
  REQUIRE(found.size() == 2);
  CHECK(found[0] == Found{"USB PTP Class Camera", "usb:001,001"});
  CHECK(found[1] == Found{"USB PTP Class Camera", "usb:002,001"});
  HostCamera one;
  HostCamera two;
  REQUIRE(one.open(found[0]) == GP_OK);
  REQUIRE(two.open(found[1]) == GP_OK);
  CHECK(one.value("serialnumber") == "1001");
  CHECK(two.value("serialnumber") == "1002");
}

TEST_CASE("a body plugged in later is found then") {
  const Usb usb;
  const Body first{usb, "a", {}, "first"};
  CHECK(detect().size() == 1);
  const Body second{usb, "b", {"--bus", "2"}, "second"};
  CHECK(detect().size() == 2);
}

TEST_CASE("a body that one host has open can't be opened by another") {
  const Usb usb;
  const Body body{usb, "generic"};
  HostCamera one;
  one.open_only();
  HostCamera two;
  // -53 as where a desktop holds a camera: "Could not claim the USB device".
  CHECK(two.open(detect().front()) == GP_ERROR_IO_USB_CLAIM);
  CHECK(one.close() == GP_OK);
  CHECK(two.open(detect().front()) == GP_OK);
}
