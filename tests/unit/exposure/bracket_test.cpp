#include "lib/exposure/bracket.h"

#include <doctest/doctest.h>

#include "lib/exposure/scale.h"

using namespace noonfall;
using namespace noonfall::exposure;

TEST_CASE("seven frames at two stops span twelve stops") {
  // Common practice, no source: 1/1000 to 4 s at f/8 ISO 100 takes in prominences to the outer corona.
  const auto ladder = centred_ladder({1, 15}, 7, Stops{2}, third_stop_shutters());
  CHECK(ladder.shutters ==
        std::vector<Shutter>{{1, 1000}, {1, 250}, {1, 60}, {1, 15}, {1, 4}, {1, 1}, {4, 1}});
  CHECK(ladder.furthest_off.value == doctest::Approx(0));
}

TEST_CASE("an even bracket has its centre between two frames") {
  CHECK(centred_ladder({1, 60}, 2, Stops{2}, third_stop_shutters()).shutters ==
        std::vector<Shutter>{{1, 125}, {1, 30}});
  CHECK(centred_ladder({1, 60}, 1, Stops{2}, third_stop_shutters()).shutters ==
        std::vector<Shutter>{{1, 60}});
}

TEST_CASE("a ladder from 1/2000 to 2 s by 2 stops has seven rungs and both ends") {
  const std::vector<Shutter> rungs{{1, 2000}, {1, 500}, {1, 125}, {1, 30}, {1, 8}, {1, 2}, {2, 1}};
  CHECK(ladder_between({1, 2000}, {2, 1}, Stops{2}, third_stop_shutters()).shutters == rungs);
  CHECK(ladder_between({2, 1}, {1, 2000}, Stops{2}, third_stop_shutters()).shutters == rungs);
}

TEST_CASE("a ladder stops short of an end its steps don't meet") {
  CHECK(ladder_between({1, 1000}, {1, 100}, Stops{2}, third_stop_shutters()).shutters ==
        std::vector<Shutter>{{1, 1000}, {1, 250}});
  CHECK(ladder_between({1, 60}, {1, 60}, Stops{1}, third_stop_shutters()).shutters ==
        std::vector<Shutter>{{1, 60}});
}

TEST_CASE("neither printed rounding nor names off the scale lose the last rung") {
  // 1/90 is a half-stop name: 1/23 lies 0.03 stop short of two stops from it, 1/26 lies 0.2 short.
  CHECK(ladder_between({1, 90}, {1, 23}, Stops{2}, third_stop_shutters()).shutters.size() == 2);
  CHECK(ladder_between({1, 90}, {1, 26}, Stops{2}, third_stop_shutters()).shutters.size() == 1);
  CHECK(ladder_between({1, 90}, {1, 45}, Stops{1}, third_stop_shutters()).shutters.size() == 2);
  CHECK(ladder_between({1, 8000}, {30, 1}, Stops{1}, third_stop_shutters()).shutters.size() == 19);
}

TEST_CASE("a ladder says how far the body's choices miss its rungs") {
  const Shutter choices[] = {{1, 1000}, {1, 250}, {1, 60}};
  const auto ladder = centred_ladder({1, 250}, 3, Stops{3}, choices);
  CHECK(ladder.shutters == std::vector<Shutter>{{1, 1000}, {1, 250}, {1, 60}});
  CHECK(ladder.furthest_off.value == doctest::Approx(1));
  CHECK(centred_ladder({1, 250}, 3, Stops{3}, {}).shutters.empty());
}

TEST_CASE("brackets are shot short first, long first or there and back") {
  const std::vector<Shutter> shutters{{1, 60}, {1, 1000}, {1, 4}};
  CHECK(short_first(shutters) == std::vector<Shutter>{{1, 1000}, {1, 60}, {1, 4}});
  CHECK(long_first(shutters) == std::vector<Shutter>{{1, 4}, {1, 60}, {1, 1000}});
  CHECK(mirrored(shutters) == std::vector<Shutter>{{1, 1000}, {1, 60}, {1, 4}, {1, 60}, {1, 1000}});
  CHECK(mirrored({{1, 4}}) == std::vector<Shutter>{{1, 4}});
  CHECK(mirrored({}).empty());
}
