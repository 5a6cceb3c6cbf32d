// A pulled cable, and the body back at another address: what a host has to do to have it again.
#include <doctest/doctest.h>

#include "tests/wire/bodies.h"
#include "tests/wire/host_camera.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

constexpr std::chrono::seconds time_to_open{3};

std::vector<sim::Fault> gone_soon() {
  const auto from = utc_now() + time_to_open;
  return {{from, from + std::chrono::milliseconds{500}, {}, sim::BodyGone{}}};
}

/// What the library finds once it finds one body at another place.
Found found_again(const Found& before) {
  const auto give_up = std::chrono::steady_clock::now() + patience;
  for (;;) {
    const auto found = detect();
    if (found.size() == 1 && found.front() != before) return found.front();
    REQUIRE(std::chrono::steady_clock::now() < give_up);
  }
}

void wait_until_gone(HostCamera& camera) {
  const auto give_up = std::chrono::steady_clock::now() + patience;
  while (camera.room().result == GP_OK && std::chrono::steady_clock::now() < give_up) {
  }
  CHECK(camera.room().result == GP_ERROR_IO_USB_FIND);
}

}  // namespace

TEST_CASE("a body that went and came back is found at another place, opened anew, and as when powered on") {
  for (const std::string family : {"generic", "a", "b"}) {
    CAPTURE(family);
    const Usb usb;
    auto options = with_faults(usb, gone_soon());
    options.insert(options.end(), {"--serial", "3012345"});
    const Body body{usb, family, options};
    const auto before = detect();
    REQUIRE(before.size() == 1);
    HostCamera camera;
    REQUIRE(camera.open(before.front()) == GP_OK);
    camera.settle("iso", "400");
    wait_until_gone(camera);
    const auto now = found_again(before.front());
    CHECK(now.path == "usb:001,002");
    // The old connection stays dead though the body is back.
    CHECK(camera.room().result == GP_ERROR_IO_USB_FIND);
    (void)camera.close();
    REQUIRE(camera.open(now) == GP_OK);
    CHECK(camera.value("serialnumber") == "3012345");
    CHECK(camera.value("iso") == "100");
    if (family != "generic") camera.settle("capturetarget", "Memory card");
    CHECK(camera.trigger() == GP_OK);
    CHECK(camera.files(1).size() == 1);
  }
}

TEST_CASE("what comes back may be another body: only the serial number tells") {
  const Usb usb;
  auto options = with_faults(usb, gone_soon());
  for (auto& option : with_line_faults(usb, "  - {fault: other serial, serial: \"77\", after: 3 s}\n")) {
    options.push_back(std::move(option));
  }
  const Body body{usb, "generic", options};
  const auto before = detect();
  REQUIRE(before.size() == 1);
  HostCamera camera;
  REQUIRE(camera.open(before.front()) == GP_OK);
  CHECK(camera.value("serialnumber") == "0001");
  wait_until_gone(camera);
  const auto now = found_again(before.front());
  (void)camera.close();
  REQUIRE(camera.open(now) == GP_OK);
  CHECK(camera.value("serialnumber") == "77");
}
