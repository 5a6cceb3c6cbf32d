#include <doctest/doctest.h>

#include "tests/wire/bodies.h"
#include "tests/wire/host_camera.h"

using namespace noonfall;
using namespace noonfall::tests;

TEST_CASE("placeholder 2") {
  CHECK(detect().empty());
}
