// Random plans, amendments, faults, stalls, kills, clocks and operators in virtual time: whatever comes
// together, the promises hold by the bodies' own record. NOONFALL_STORIES=10000 tells so many,
// NOONFALL_STORY=17 tells one with everything that happened in it.
#include <cstdlib>
#include <iostream>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "tests/stories/promises.h"
#include "tests/stories/trace.h"
#include "tests/stories/world.h"

using namespace noonfall;
using namespace noonfall::stories;

namespace {

constexpr std::uint64_t parts = 8;  // so that they can run side by side
constexpr std::uint64_t usually = 800;

std::uint64_t number_in(const char* variable, std::uint64_t otherwise) {
  const auto* text = std::getenv(variable);
  return text == nullptr ? otherwise : std::strtoull(text, nullptr, 10);
}

/// What the stories were about: none of it may be missing.
struct Tally {
  int filtered = 0;
  int unfiltered = 0;
  int told_off = 0;
  int called_on = 0;
  int later_cores = 0;
  int amendments = 0;
  int failures = 0;
  int jumps = 0;

  void add(const Record& record) {
    for (const auto& moment : record.moments) {
      if (const auto* shot = std::get_if<Shot>(&moment.what)) ++(shot->filtered ? filtered : unfiltered);
      if (const auto* stepped = std::get_if<Stepped>(&moment.what)) add(*stepped);
      later_cores += std::holds_alternative<Ended>(moment.what) ? 1 : 0;
      jumps += moment.reads != moment.at ? 1 : 0;
    }
    for (const auto& line : record.lines) {
      amendments += std::holds_alternative<shotlog::Amendment>(line.entry) ? 1 : 0;
      const auto* outcome = std::get_if<shotlog::FrameOutcome>(&line.entry);
      failures += outcome != nullptr && outcome->result != order::Outcome::fired ? 1 : 0;
    }
  }
  void add(const Stepped& stepped) {
    for (const auto& words : stepped.words) {
      told_off += words.starts_with("Camera filter off") ? 1 : 0;
      called_on += words.starts_with("Camera filter back on") ? 1 : 0;
    }
  }
};

void tell_part(std::uint64_t part) {
  if (std::getenv("NOONFALL_STORY") != nullptr) return;
  const auto each = number_in("NOONFALL_STORIES", usually) / parts;
  Tally tally;
  for (auto seed = part * each + 1; seed <= (part + 1) * each; ++seed) {
    CAPTURE(seed);
    const auto story = story_of(seed);
    const auto record = tell(story);
    tally.add(record);
    const auto broken = broken_promises(record);
    CHECK_MESSAGE(broken.empty(), "NOONFALL_STORY=", seed, ": ",
                  fmt::format("{}", fmt::join(broken, "\n  ")));
  }
  CHECK(tally.filtered > 0);
  CHECK(tally.unfiltered > 0);
  CHECK(tally.told_off > 0);
  CHECK(tally.called_on > 0);
  CHECK(tally.later_cores > 0);
  CHECK(tally.amendments > 0);
  CHECK(tally.failures > 0);
  CHECK(tally.jumps > 0);
  MESSAGE(fmt::format(
      "{} stories: {} filtered and {} unfiltered pictures, {} frames gone wrong, {} x off, {} x back on, "
      "{} cores killed, {} amendments",
      each, tally.filtered, tally.unfiltered, tally.failures, tally.told_off, tally.called_on,
      tally.later_cores, tally.amendments));
}

}  // namespace

TEST_CASE("the promises hold in every story, first eighth") {
  tell_part(0);
}
TEST_CASE("the promises hold in every story, second eighth") {
  tell_part(1);
}
TEST_CASE("the promises hold in every story, third eighth") {
  tell_part(2);
}
TEST_CASE("the promises hold in every story, fourth eighth") {
  tell_part(3);
}
TEST_CASE("the promises hold in every story, fifth eighth") {
  tell_part(4);
}
TEST_CASE("the promises hold in every story, sixth eighth") {
  tell_part(5);
}
TEST_CASE("the promises hold in every story, seventh eighth") {
  tell_part(6);
}
TEST_CASE("the promises hold in every story, last eighth") {
  tell_part(7);
}

TEST_CASE("one story, told in full") {
  if (std::getenv("NOONFALL_STORY") == nullptr) return;
  const auto story = story_of(number_in("NOONFALL_STORY", 1));
  const auto record = tell(story);
  std::cout << trace(story, record);
  const auto broken = broken_promises(record);
  CHECK_MESSAGE(broken.empty(), fmt::format("{}", fmt::join(broken, "\n  ")));
}

TEST_CASE("a story is the same each time it is told") {
  const auto story = story_of(3);
  CHECK(tell(story).log == tell(story_of(3)).log);
}
