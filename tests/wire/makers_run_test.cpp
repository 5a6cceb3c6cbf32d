// Our own camera on bodies of the families named after their makers, and whole runs on them. What is special
// of each was found in libgphoto2 2.5.30's source and in dumps of real bodies (docs/wired-bodies.md).
#include <algorithm>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "tests/wire/contract_kinds.h"
#include "tests/wire/run_on_bodies.h"

using namespace noonfall;
using namespace noonfall::tests;
using exposure::Exposure;
using exposure::FNumber;
using rig::Answer;

namespace {

const Exposure quick{{1, 500}, FNumber{80}, {400}};
const std::string makers[] = {"sony", "fuji", "panasonic", "olympus"};

}  // namespace

TEST_CASE("bodies of the makers' families are listed, and nothing they are like would stop a run") {
  for (const auto& family : makers) {
    CAPTURE(family);
    const Usb usb;
    const Body body{usb, family, {"--serial", "3012345"}};
    const auto ran = run_program(NOONFALL_PROGRAM, "cameras --json");
    INFO(ran.out, ran.err);
    REQUIRE(ran.exit == 0);
    const auto all = nlohmann::json::parse(ran.out).at("bodies");
    REQUIRE(all.size() == 1);
    CHECK(all[0].at("family") == family);
    CHECK(all[0].at("obstacles").empty());
    const auto text = run_program(NOONFALL_PROGRAM, "cameras").out;
    CHECK(text.find("\n  \n") == std::string::npos);
    CHECK(text.find("STOPS A RUN") == std::string::npos);
  }
}

TEST_CASE(
    "half a second, which the driver shows otherwise than the body has it, is taken by an Olympus body") {
  const auto body = wired_body("olympus", {});
  const Exposure half{{1, 2}, FNumber{80}, {400}};
  const auto set = body->set_when_free(half);
  CHECK(set.answer == Answer::ok);
  CHECK(set.exposure == half);
  REQUIRE(body->release_when_free().answer == Answer::ok);
  REQUIRE(body->taken().size() == 1);
  CHECK(body->taken().front().exposure == half);
}

// Dump sony-a7m4: D2C1 to D2D0 answer 2002, so that the driver has no control for its button.
TEST_CASE("a Sony body that hides its buttons takes its frames by the driver's own trigger") {
  const auto body = wired_body("sony", {}, {}, body::Files::raw, "3012345", {"--trait", "hides-buttons"});
  REQUIRE(body->set_when_free(quick).answer == Answer::ok);
  CHECK(body->release_when_free().answer == Answer::ok);
  CHECK(body->taken().size() == 1);
  CHECK(body->set_when_free(quick, body::Drive::continuous).drive == body::Drive::single);
}

TEST_CASE("a dress rehearsal with a body of each maker: every frame fired is a picture with its exposure") {
  const Usb usb;
  std::vector<std::unique_ptr<Body>> bodies;
  std::vector<std::string> serials;
  for (const auto& family : makers) {
    const auto n = std::to_string(bodies.size() + 1);
    serials.push_back("30123" + n);
    bodies.push_back(std::make_unique<Body>(
        usb, family, std::vector<std::string>{"--serial", serials.back(), "--bus", n}, family));
  }
  RunOnBodies run{serials, "raw", "1/1000", "1/8"};
  for (std::size_t n = 0; n < bodies.size(); ++n) {
    CAPTURE(makers[n]);
    const bool enough = run.comes_to_fire(n, 8);
    CHECK_MESSAGE(enough, run.faults(n), ": ", run.fired(n).size());
  }
  CHECK(run.stop() == 0);
  for (std::size_t n = 0; n < bodies.size(); ++n) {
    CAPTURE(makers[n]);
    const auto fired = run.fired(n);
    const auto taken = bodies[n]->taken();
    CAPTURE(run.faults(n));
    REQUIRE(taken.size() == fired.size());
    for (std::size_t frame = 0; frame < taken.size(); ++frame)
      CHECK(fired[frame].exposure == taken[frame].exposure);
  }
}
