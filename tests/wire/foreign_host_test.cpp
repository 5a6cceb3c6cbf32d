#include <doctest/doctest.h>

#include "tests/address_sanitizer.h"
#include "tests/source_folder.h"
#include "tests/wire/bodies.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

// The system's own: its packages aren't seen by others.
const std::string python = "/usr/bin/python3";

// A program that isn't built with a sanitizer can't load a driver that is.
#if defined(NOONFALL_ADDRESS_SANITIZER) || defined(__SANITIZE_THREAD__)
constexpr bool driver_fits_others = false;
#else
constexpr bool driver_fits_others = true;
#endif

bool python_has_bindings() {
  return driver_fits_others && run_program(python, "-c 'import gphoto2'").exit == 0;
}

}  // namespace

TEST_CASE("a host written by others sets a simulated body and takes pictures with it") {
  if (!python_has_bindings()) {
    MESSAGE("SKIPPED: no Python bindings of the camera library (python3-gphoto2) that can load our driver");
    return;
  }
  const std::string on_card =
      "/store_00010001/DCIM/100NOONF/NOON0001.RAW\n/store_00010001/DCIM/100NOONF/NOON0002.RAW\n";
  for (const auto& [family, pictures] :
       {std::pair{std::string{"generic"}, on_card},
        {"a", on_card},
        {"b", on_card},
        {"panasonic", on_card},
        {"olympus", on_card},
        {"sony", "//capt0000.arw\n//capt0001.arw\n"},
        {"fuji", "/store_10000001/NOON0001.RAW\n/store_10000001/NOON0002.RAW\n"}}) {
    CAPTURE(family);
    const Usb usb;
    const Body body{usb, family};
    const auto ran = run_program(python, NOONFALL_SOURCE "/tests/wire/foreign_host.py " + family);
    CHECK(ran.err == "");
    CHECK(ran.out == pictures);
    REQUIRE(body.taken().size() == 2);
    for (const auto& frame : body.taken()) {
      CHECK(frame.exposure == exposure::Exposure{{1, 500}, exposure::FNumber{80}, {400}});
    }
  }
}
