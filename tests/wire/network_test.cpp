// The other way to a body: the library's own PTP/IP driver instead of ours for USB.
#include <fcntl.h>

#include <cstdlib>

#include <doctest/doctest.h>

#include "tests/wire/bodies.h"
#include "tests/wire/host_camera.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

/// Commands and events by one port: the library would take the standard's for the latter.
Found at_port(std::uint16_t port) {
  const auto number = std::to_string(port);
  return {"PTP/IP Camera", "ptpip:127.0.0.1:" + number + ":" + number};
}

/// The library's driver closes descriptor 0 along with its own: it must not be one of ours.
void give_away_descriptor_0() {
  (void)::open("/dev/null", O_RDONLY);  // the lowest free number
}

}  // namespace

TEST_CASE("over the network a body is set, takes a picture and hands it out") {
  for (const std::string family : {"generic", "a", "b"}) {
    CAPTURE(family);
    give_away_descriptor_0();
    const Usb usb;
    ::setenv("IOLIBS", GPHOTO2_PORT_DRIVERS, 1);
    const auto port = free_port();
    const auto body = Body::on_network(usb, family, port);
    HostCamera camera;
    REQUIRE(camera.open(at_port(port)) == GP_OK);
    if (family != "generic") camera.settle("capturetarget", "Memory card");
    camera.settle("iso", "400");
    camera.shoot();
    CHECK(camera.files(1) == std::vector<std::string>{"/store_00010001/DCIM/100NOONF/NOON0001.RAW"});
    CHECK(camera.content("/store_00010001/DCIM/100NOONF", "NOON0001.RAW").size() == 25'000'000);
    CHECK(camera.close() == GP_OK);
    REQUIRE(camera.open(at_port(port)) == GP_OK);
    CHECK(camera.value("iso") == "400");
    REQUIRE(body.taken().size() == 1);
    CHECK(body.taken().front().exposure.iso == exposure::Iso{400});
  }
}
