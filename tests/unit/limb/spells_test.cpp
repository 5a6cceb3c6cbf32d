// Spans of time below zero, short ones and short breaks among them.
#include <cmath>

#include <doctest/doctest.h>

#include "lib/limb/edges.h"

using namespace noonfall::limb;

namespace {

void check(const std::vector<Spell>& found, const std::vector<Spell>& wanted) {
  REQUIRE(found.size() == wanted.size());
  for (std::size_t n = 0; n < found.size(); ++n) {
    CHECK(found[n].from == doctest::Approx(wanted[n].from).epsilon(1e-6));
    CHECK(found[n].until == doctest::Approx(wanted[n].until).epsilon(1e-6));
  }
}

constexpr Search coarse{-10, 10, 1, 0.5};

}  // namespace

TEST_CASE("a parabola is below zero between its roots") {
  check(spells_below_zero([](double t) { return t * t - 9.61; }, coarse), {{-3.1, 3.1}});
}

TEST_CASE("what never comes below zero has no spell") {
  check(spells_below_zero([](double t) { return t * t + 0.001; }, coarse), {});
}

TEST_CASE("a spell shorter than the step is found where the function turns near zero") {
  check(spells_below_zero([](double t) { return (t - 0.4) * (t - 0.4) - 0.01; }, coarse), {{0.3, 0.5}});
}

TEST_CASE("a break shorter than the step parts two spells") {
  // a bead that shines for a fifth of a second at 0.6
  const auto value = [](double t) { return std::max(t * t - 25, 0.01 - (t - 0.6) * (t - 0.6)); };
  check(spells_below_zero(value, coarse), {{-5, 0.5}, {0.7, 5}});
}

TEST_CASE("a spell that reaches an end of the search ends there") {
  check(spells_below_zero([](double t) { return t + 2; }, coarse), {{-10, -2}});
  check(spells_below_zero([](double t) { return -t; }, coarse), {{0, 10}});
}
