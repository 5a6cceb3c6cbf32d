#include "daemon/start/limb_in_force.h"

#include <doctest/doctest.h>

using namespace noonfall;
using namespace noonfall::start;

namespace {

struct Chosen {
  load::LimbRequest limb;
  Diagnostics findings;
};

Chosen choose(const RunRequest& request, const std::string& strip, const std::string& logged) {
  journal::RunSettings begun;
  begun.limb_data = strip;
  shotlog::Header before;
  before.limb = logged;
  Chosen chosen;
  chosen.limb = limb_in_force(request, begun, &before, chosen.findings);
  return chosen;
}

RunRequest amendment() {
  RunRequest request;
  request.amend = true;
  return request;
}

}  // namespace

TEST_CASE("an amendment takes the run's own strip, and a mean limb stays one wherever strips may lie") {
  const auto profile = choose(amendment(), "/x/moon.llb", "profile").limb;
  CHECK(profile.limb == "profile");
  CHECK(profile.data == "/x/moon.llb");
  CHECK(choose(amendment(), "", "mean").limb.limb == "mean");
}

TEST_CASE("a run of before strips were recorded takes the strip that is found, and no mean limb instead") {
  const auto limb = choose(amendment(), "", "profile").limb;
  CHECK(limb.limb == "profile");
  CHECK(limb.data.empty());
}

TEST_CASE("what an amendment names wins over what the run has") {
  auto request = amendment();
  request.limb.limb = "mean";
  CHECK(choose(request, "/x/moon.llb", "profile").limb.limb == "mean");
  request.limb = {"", "/y/other.llb"};
  CHECK(choose(request, "/x/moon.llb", "profile").limb.data == "/y/other.llb");
}

TEST_CASE("a restart whose strip is gone goes on with the mean limb, and says so") {
  const auto chosen = choose({}, "/nonexistent/moon.llb", "profile");
  CHECK(chosen.limb.limb == "mean");
  REQUIRE(chosen.findings.size() == 1);
  CHECK(chosen.findings[0].message ==
        "C2 and C3 are those of a smooth Moon now: the run's lunar heights are gone");
  CHECK_FALSE(has_errors(chosen.findings));
}
