#include "lib/yaml/reader.h"
#include <doctest/doctest.h>
TEST_CASE("x") { CHECK(noonfall::yaml::read("a: 1")); }
