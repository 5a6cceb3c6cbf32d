#include "lib/body/shipped.h"

#include <fstream>
#include <iterator>
#include <string>

#include <doctest/doctest.h>

#include "lib/body/model.h"
#include "tests/source_folder.h"

using namespace noonfall;
using namespace noonfall::body;

TEST_CASE("every shipped profile is good, carries its own name and is the file in plans/bodies") {
  CHECK(shipped_profiles().size() >= 2);
  for (const auto& shipped : shipped_profiles()) {
    CAPTURE(shipped.name);
    const auto profile = find_shipped(shipped.name);
    REQUIRE(profile);
    CHECK(profile->name == shipped.name);
    std::ifstream file{NOONFALL_SOURCE "/plans/bodies/" + std::string{shipped.name} + ".yaml"};
    CHECK(std::string{std::istreambuf_iterator<char>{file}, {}} == shipped.yaml);
  }
}

TEST_CASE("a name near a shipped one is answered with it, any other with all") {
  const auto slip = find_shipped("mirorless-20");
  REQUIRE_FALSE(slip);
  CHECK(to_text(slip.error()) ==
        "error: there is no body profile \"mirorless-20\"\n"
        "  wanted: mirrorless-20\n");
  const auto other = find_shipped("box");
  REQUIRE_FALSE(other);
  CHECK(to_text(other.error()) ==
        "error: there is no body profile \"box\"\n"
        "  wanted: one of mirrorless-20, mirrorless-12, mirror-24\n");
}

TEST_CASE("the shipped bodies do what their comments say") {
  const auto mirrorless = *find_shipped("mirrorless-20");
  CHECK(frame_interval(mirrorless, Drive::continuous, {1, 1000}) == std::chrono::milliseconds{50});
  CHECK(frame_interval(mirrorless, Drive::single, {1, 8000}) == std::chrono::milliseconds{400});
  CHECK(Buffer{mirrorless}.free_frames(Utc{}, frame_size(mirrorless, Files::raw)) == 100);
  const auto slower = *find_shipped("mirrorless-12");
  auto same_but_burst = mirrorless;
  same_but_burst.name = slower.name;
  same_but_burst.continuous = slower.continuous;
  CHECK(slower == same_but_burst);
  CHECK(frame_interval(slower, Drive::continuous, {1, 1000}) == std::chrono::milliseconds{83});
  const auto mirror = *find_shipped("mirror-24");
  CHECK(frame_interval(mirror, Drive::continuous, {1, 1000}) == std::chrono::milliseconds{143});
  CHECK(Buffer{mirror}.free_frames(Utc{}, frame_size(mirror, Files::raw)) == 20);
}
