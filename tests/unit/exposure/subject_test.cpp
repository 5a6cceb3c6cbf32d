#include "lib/exposure/subject.h"

#include <doctest/doctest.h>

using namespace noonfall::exposure;

TEST_CASE("every subject reads back to itself") {
  for (const auto* text : {"photosphere", "diamond ring", "beads", "chromosphere", "prominences",
                           "corona 0.5", "corona 0.1 to 4", "corona 0.05 to 20", "earthshine", "landscape"}) {
    CAPTURE(text);
    const auto subject = parse_subject(text);
    REQUIRE(subject);
    CHECK(to_text(*subject) == text);
  }
}

TEST_CASE("a corona has a height or a range of heights") {
  CHECK(parse_subject("corona 0.5") == Subject{SubjectKind::corona, 0.5, 0.5});
  CHECK(parse_subject("corona 0.1 to 4") == Subject{SubjectKind::corona, 0.1, 4});
}

TEST_CASE("what isn't a subject is refused") {
  for (const auto* text : {"", "corona", "corona ", "corona 0.04", "corona 21", "corona 4 to 0.1",
                           "corona 1 to", "corona to 4", "corona 1 - 4", "corona -1", "corona 1 to 2 to 3",
                           "Beads", "beads ", "diamond  ring", "photosphere 1", "moon"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_subject(text));
  }
}
