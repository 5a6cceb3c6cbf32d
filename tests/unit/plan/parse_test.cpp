#include "lib/plan/parse.h"
#include "lib/plan/print.h"
#include <doctest/doctest.h>
TEST_CASE("x") { CHECK(!noonfall::plan::parse("a: 1")); }
