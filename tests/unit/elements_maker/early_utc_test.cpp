#include "lib/contacts/earth_rotation.h"

#include <cmath>

#include <doctest/doctest.h>
#include <erfa.h>

using namespace noonfall;
using namespace noonfall::contacts;

TEST_CASE("before leap seconds TT - UTC is what ERFA's eraDat says, day by day") {
  using namespace std::chrono;
  for (sys_days day = 1960y / January / 1; day < sys_days{1972y / January / 1}; day += days{1}) {
    const Date date{day};
    CAPTURE(to_text(date));
    double tai_minus_utc = 0;
    REQUIRE(eraDat(static_cast<int>(date.year()), static_cast<int>(static_cast<unsigned>(date.month())),
                   static_cast<int>(static_cast<unsigned>(date.day())), 0.5, &tai_minus_utc) == 0);
    const auto found = early_tt_minus_utc(date);
    REQUIRE(found);
    CHECK(std::abs(in_seconds(*found) - 32.184 - tai_minus_utc) < 1e-6);
  }
  CHECK_FALSE(early_tt_minus_utc(1959y / December / 31));
  CHECK_FALSE(early_tt_minus_utc(1972y / January / 1));
}
