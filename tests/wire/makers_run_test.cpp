// Our own camera on bodies of the families named after their makers, and whole runs on them. What is special
// of each was found in libgphoto2 2.5.30's source and in dumps of real bodies (docs/wired-bodies.md).
#include <algorithm>
#include <chrono>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <fmt/ranges.h>
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
/// Of each frame, in the answer or noted later, in turn.
std::string files_of(ContractBody& body, const rig::DeviceAnswer& answer) {
  const auto give_up = std::chrono::steady_clock::now() + patience;
  std::vector<std::string> names(answer.frames.size());
  const auto note = [&](const std::string& words, std::size_t n) {
    if (const auto at = words.find("NOON0"); at != std::string::npos) names[n] = words.substr(at, 8);
  };
  for (std::size_t n = 0; n < names.size(); ++n)
    note(fmt::format("{}", fmt::join(answer.frames[n].files, " ")), n);
  while (std::ranges::count(names, "") > 0 && std::chrono::steady_clock::now() < give_up) {
    for (const auto& words : body.look_after().notes) {
      for (std::size_t n = 0; n < names.size(); ++n) {
        if (words.starts_with(fmt::format("the picture of frame {} of", n + 1))) note(words, n);
      }
    }
  }
  std::string all;
  for (const auto& name : names) all += name + " ";
  return all;
}

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

// library.c:5942-5977: bodies of these names take a press without focus too, and tell by "Button" news what
// it came to.
TEST_CASE("a small body of family b takes a frame by its button's word, and none without focus") {
  const std::vector<std::string> small{"--model", "Canon EOS M50", "--trait", "button-news"};
  const auto body = wired_body("b", {}, {}, body::Files::raw, "3012345", small);
  REQUIRE(body->set_when_free(quick).answer == Answer::ok);
  for (int frame = 0; frame < 3; ++frame) {
    const auto answer = body->release_when_free();
    CHECK_MESSAGE(answer.answer == Answer::ok, answer.why);
  }
  CHECK(body->taken().size() == 3);
  const auto blind = wired_body("b", {}, "  - {fault: focus fails}\n", body::Files::raw, "3012345", small);
  REQUIRE(blind->set_when_free(quick).answer == Answer::ok);
  const auto answer = blind->release();
  CHECK(answer.answer == Answer::refused);
  CHECK(answer.why.starts_with("autofocus found nothing"));
  CHECK(blind->taken().empty());
  const auto silent = wired_body("b", {}, {}, body::Files::raw, "3012345", {"--model", "Canon EOS M50"});
  REQUIRE(silent->set_when_free(quick).answer == Answer::ok);
  CHECK(silent->release().answer == Answer::no_word);
}

TEST_CASE("a bracket that a body takes by itself: one press, each picture with its own exposure") {
  const rig::SettingsCall wanted{quick, body::Drive::bracket, {{1, 500}, {1, 2000}, {1, 125}}};
  for (const std::string family : {"a", "b", "sony"}) {
    CAPTURE(family);
    const auto body = wired_body(family, {});
    const auto set = body->set_when_free(wanted);
    REQUIRE(set.answer == Answer::ok);
    REQUIRE(set.drive == body::Drive::bracket);
    const auto answer = body->release_when_free(3);
    REQUIRE(answer.frames.size() == 3);
    CHECK(std::ranges::all_of(answer.frames, &rig::TakenFrame::confirmed));
    if (family != "sony") CHECK(files_of(*body, answer) == "NOON0001 NOON0002 NOON0003 ");
    CHECK(body->set_when_free(quick).drive == body::Drive::single);
    REQUIRE(body->release_when_free().answer == Answer::ok);
    const auto taken = body->taken();
    REQUIRE(taken.size() == 4);
    for (std::size_t n = 0; n < 3; ++n) {
      CHECK(taken[n].exposure == Exposure{wanted.bracket[n], FNumber{80}, {400}});
      CHECK(taken[n].released == taken[0].released);
    }
    CHECK(taken[3].exposure == quick);
  }
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
