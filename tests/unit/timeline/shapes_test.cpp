#include "lib/timeline/exposures.h"

#include <doctest/doctest.h>

#include "lib/body/model.h"
#include "tests/unit/timeline/scene.h"

using namespace noonfall;
using namespace noonfall::timeline;
using body::Drive;

namespace {

exposure::Exposure taken(exposure::Shutter shutter, int iso) {
  return {shutter, exposure::FNumber{80}, {iso}};
}

/// A bracket on the body mirrorless-20, trimmed.
std::vector<exposure::Exposure> after(Stops stops, std::vector<exposure::Exposure> bracket) {
  const auto profile = tests::profiles_at_hand().at("mirrorless-20");
  const auto shapes = make_shapes(profile, Drive::single, {std::move(bracket)});
  return trimmed(shapes, profile, Drive::single, stops).front().exposures;
}

using Bracket = std::vector<exposure::Exposure>;

}  // namespace

// A stop is a factor of two of light, three clicks of the third-stop scales (ISO 516; common practice for the
// thirds).
TEST_CASE("a trim goes into the shutter: a stop is three clicks of it") {
  CHECK(after({-1}, {taken({1, 500}, 400), taken({1, 125}, 400)}) ==
        Bracket{taken({1, 1000}, 400), taken({1, 250}, 400)});
  CHECK(after({2}, {taken({1, 500}, 400)}) == Bracket{taken({1, 125}, 400)});
  CHECK(after({1.0 / 3}, {taken({1, 500}, 400)}) == Bracket{taken({1, 400}, 400)});
}

TEST_CASE("where the body's shutter ends, ISO takes the rest") {
  const auto choices = tests::profiles_at_hand().at("mirrorless-20").choices;
  const auto fastest = choices.shutters.front();
  CHECK(after({-1}, {taken(fastest, 800)}) == Bracket{taken(fastest, 400)});
  const auto slowest = choices.shutters.back();
  CHECK(after({1}, {taken(slowest, 400)}) == Bracket{taken(slowest, 800)});
}

TEST_CASE("what neither shutter nor ISO can give is left off") {
  const auto choices = tests::profiles_at_hand().at("mirrorless-20").choices;
  const auto darkest = taken(choices.shutters.front(), choices.isos.front().value);
  CHECK(after({-3}, {darkest}) == Bracket{darkest});
}

TEST_CASE("a trimmed set takes the time of its new exposures") {
  const auto profile = tests::profiles_at_hand().at("mirrorless-20");
  const auto shapes = make_shapes(profile, Drive::single, {{taken({1, 2}, 100), taken({1, 1}, 100)}});
  const auto longer = trimmed(shapes, profile, Drive::single, {1});
  CHECK(longer == make_shapes(profile, Drive::single, {{taken({1, 1}, 100), taken({2, 1}, 100)}}));
  CHECK(longer.front().lasts > shapes.front().lasts);
}
