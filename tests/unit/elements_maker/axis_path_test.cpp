// Types from the geometry of the path, for eclipses whose published type is a close call.
#include "tests/elements_maker/axis_path.h"

#include <doctest/doctest.h>

#include "lib/contacts/elements.h"

using namespace noonfall;
using namespace noonfall::contacts;

namespace {

const Elements& eclipse(const char* date) {
  const auto* found = find_elements(built_in_elements(), *parse_date(date));
  REQUIRE(found != nullptr);
  return *found;
}

}  // namespace

TEST_CASE("umbrae that touch the Earth beside their axis make total and annular eclipses without a path") {
  // Five Millennium Canon of Solar Eclipses, NASA/TP-2006-214141: types T- (1967), A- (2014, 2043 October),
  // T+ (2043 April) (from memory).
  for (const auto& [date, type] : {std::pair{"1967-11-02", EclipseType::total},
                                   {"2014-04-29", EclipseType::annular},
                                   {"2043-04-09", EclipseType::total},
                                   {"2043-10-03", EclipseType::annular}}) {
    CAPTURE(date);
    CHECK(elements_maker::type_of(eclipse(date)) == type);
    CHECK_FALSE(elements_maker::is_central(eclipse(date)));
  }
}

TEST_CASE("an umbra's tip that crosses the ground makes a hybrid") {
  auto elements = eclipse("2023-04-20");
  CHECK(elements_maker::type_of(elements) == EclipseType::hybrid);
  CHECK(elements_maker::is_central(elements));
  elements.l2[0] -= 0.001;
  CHECK(elements_maker::type_of(elements) == EclipseType::total);
  elements.l2[0] += 0.01;
  CHECK(elements_maker::type_of(elements) == EclipseType::annular);
}

TEST_CASE("every type in the table is the one its elements give") {
  for (const auto& each : built_in_elements()) {
    CAPTURE(to_text(each.date));
    CHECK(elements_maker::type_of(each) == each.type);
  }
}
