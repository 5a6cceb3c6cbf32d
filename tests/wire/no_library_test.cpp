#include <doctest/doctest.h>

TEST_CASE("the real camera library reads and drives simulated bodies") {
  MESSAGE("SKIPPED: no libgphoto2 with its headers (libgphoto2-dev)");
}
