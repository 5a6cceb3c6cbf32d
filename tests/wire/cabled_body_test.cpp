// A body on a cable beyond the contract: what is said of it, and of what it does wrong.
#include <algorithm>
#include <thread>

#include <doctest/doctest.h>

#include "tests/wire/contract_kinds.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;
using exposure::Exposure;
using exposure::FNumber;
using rig::Answer;

namespace {

const Exposure quick{{1, 500}, FNumber{80}, {400}};

bool has(const std::vector<std::string>& texts, const std::string& part) {
  return std::ranges::any_of(texts, [&](const auto& text) { return text.find(part) != std::string::npos; });
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// Looks after the body until something is noted that has these words.
bool comes_to_be_noted(ContractBody& body, const std::string& words) {
  const auto give_up = std::chrono::steady_clock::now() + patience;
  while (std::chrono::steady_clock::now() < give_up) {
    if (has(body.look_after().notes, words)) return true;
    std::this_thread::sleep_for(50ms);
  }
  return false;
}

}  // namespace

TEST_CASE("raw and jpeg are set up at opening, and are two files of one frame") {
  for (const std::string family : {"a", "b"}) {
    CAPTURE(family);
    const auto body = wired_body(family, {}, {}, body::Files::raw_and_jpeg);
    REQUIRE(body->set(quick).answer == Answer::ok);
    for (int n = 1; n <= 2; ++n) {
      const auto answer = body->release_when_free();
      REQUIRE(answer.frames.size() == 1);
      const auto name = "DCIM/100NOONF/NOON000" + std::to_string(n);
      CHECK(answer.frames.front().files == std::vector{name + ".RAW", name + ".JPG"});
    }
    CHECK(body->taken().size() == 2);
    CHECK(body->look_after().alarms.empty());
  }
}

TEST_CASE("a time the body doesn't have is taken as its nearest without bulb, and told apart") {
  const auto body = wired_body("generic", {});
  const auto answer = body->set({{120, 1}, FNumber{80}, {400}});
  CHECK(answer.answer == Answer::ok);
  CHECK(answer.exposure == Exposure{{30, 1}, FNumber{80}, {400}});
}

TEST_CASE("a refused release says why in words") {
  for (const std::string family : {"generic", "a", "b"}) {
    CAPTURE(family);
    const auto body =
        wired_body(family, {}, "  - {fault: refused, asked: release, code: 0x200C, count: 1}\n");
    REQUIRE(body->set(quick).answer == Answer::ok);
    const auto answer = body->release();
    CHECK(answer.answer == Answer::refused);
    CHECK(answer.why == "the card is full (PTP 0x200C)");
    CHECK(body->release_when_free().answer == Answer::ok);
  }
}

TEST_CASE("a body at work with the dial off M, autofocus on, or nearly no battery is reported") {
  const auto dial = wired_body("a", {}, "  - {fault: dial off M}\n");
  CHECK(has(dial->look_after().alarms, "the mode dial is at \"P\": exposures can't be set; turn it to M"));
  const auto focus = wired_body("b", {}, "  - {fault: focus fails}\n");
  CHECK(has(focus->look_after().notes, "autofocus is on"));
  const auto battery = wired_body("generic", {}, "  - {fault: low battery, charge: 5 %}\n");
  const auto care = battery->look_after();
  CHECK(has(care.notes, "the battery is low: 5%"));
  CHECK(has(care.alarms, "the battery is nearly empty: 5%"));
}

TEST_CASE("the body's clock is compared with ours, and left as it is") {
  for (const std::string family : {"generic", "a", "b"}) {
    CAPTURE(family);
    const auto body = wired_body(family, {});
    const auto notes = body->look_after().notes;
    CHECK((has(notes, "the body's clock is 0 s") || has(notes, "the body's clock is 1 s")));
  }
}

TEST_CASE("off M a picture is taken all the same, and shown with what the body chose") {
  const auto body = wired_body("a", {}, "  - {fault: dial off M}\n");
  const auto answer = body->set(quick);
  CHECK(answer.answer == Answer::refused);
  CHECK(answer.exposure.value().shutter != quick.shutter);
  CHECK(body->release_when_free().answer == Answer::ok);
}

TEST_CASE("settings that take long are waited for") {
  for (const std::string family : {"generic", "a", "b"}) {
    CAPTURE(family);
    const auto body = wired_body(family, {}, "  - {fault: slow settings, by: 150 ms}\n");
    const auto answer = body->set(quick);
    CHECK(answer.answer == Answer::ok);
    CHECK(answer.exposure == quick);
    CHECK(body->release_when_free().answer == Answer::ok);
    REQUIRE(body->taken().size() == 1);
    CHECK(body->taken().front().exposure == quick);
  }
}

TEST_CASE("a picture announced late is matched to its own frame") {
  for (const std::string family : {"generic", "b"}) {
    CAPTURE(family);
    const auto body = wired_body(family, {}, "  - {fault: late news, by: 2 s}\n");
    CHECK(body->look_after().alarms.empty());
    const auto answer = body->release_when_free();
    REQUIRE(answer.frames.size() == 1);
    CHECK_FALSE(answer.frames.front().confirmed);
    CHECK(comes_to_be_noted(*body,
                            "the picture of frame 1 of set 1 of step 1 was announced late: "
                            "DCIM/100NOONF/NOON0001.RAW"));
  }
}

TEST_CASE("a picture never announced is found on the card when there is time to look") {
  const auto lost = sim::Fault{utc_now() - 1s, utc_now() + 1h, 1, sim::LostFrame{}};
  const auto body = wired_body("a", {lost});
  CHECK(body->look_after().alarms.empty());
  CHECK_FALSE(body->release_when_free().frames.front().confirmed);
  CHECK(body->release_when_free().frames.front().confirmed);
  CHECK(comes_to_be_noted(*body,
                          "the picture of frame 1 of set 1 of step 1 was never announced and is on the "
                          "card: DCIM/100NOONF/NOON0001.RAW"));
}

TEST_CASE("who isn't there is said, with who is there instead") {
  const auto body = wired_body("b", {}, {}, body::Files::raw, "77");
  const auto answer = body->set(quick);
  CHECK(answer.answer == Answer::gone);
  CHECK(has(answer.why, "no body has the serial number 77; there are: 3012345 ("));
  const auto care = body->look_after();
  CHECK_FALSE(care.again);
}

TEST_CASE("zeros before a serial number don't count") {
  const auto body = wired_body("a", {}, {}, body::Files::raw, "0003012345");
  CHECK(body->set(quick).answer == Answer::ok);
}
