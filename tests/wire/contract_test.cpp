// The contract of lib/rig/camera.h: what each call may answer in each state of a body, and what it leaves
// behind.
#include <algorithm>
#include <thread>

#include <doctest/doctest.h>

#include "tests/wire/contract_cases.h"
#include "tests/wire/contract_kinds.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;
using body::Drive;
using exposure::Exposure;
using exposure::FNumber;
using rig::Answer;

namespace {

const Exposure quick{{1, 500}, FNumber{80}, {400}};
const Exposure other{{1, 60}, FNumber{56}, {800}};

sim::Fault from_now(sim::Effect effect, std::optional<int> count = {}) {
  sim::Fault fault{utc_now() - 1s, Utc::max(), count, std::move(effect)};
  if (!count) fault.until = fault.from + 1h;
  return fault;
}

void wait_until(ContractBody& body, Utc when) {
  while (body.now() < when) std::this_thread::sleep_for(5ms);
}

}  // namespace

TEST_CASE("a fresh body: each call opens it, and does what it says") {
  for (const auto& kind : body_kinds()) {
    CAPTURE(kind.name);
    check_fresh_body(kind);
  }
}

TEST_CASE("a body in the middle of things: it is busy, or does what it says") {
  for (const auto& kind : body_kinds()) {
    CAPTURE(kind.name);
    check_busy_body(kind);
  }
}

TEST_CASE("a refused setting keeps its old value, the others are taken, and a picture can be had") {
  for (const auto& kind : body_kinds()) {
    CAPTURE(kind.name);
    const auto body = kind.make({from_now(sim::RefusedSetting{sim::SettingValue{exposure::Iso{800}}})});
    REQUIRE(body->set(quick).answer == Answer::ok);
    const auto answer = body->set(other);
    CHECK(answer.answer == Answer::refused);
    CHECK(answer.exposure == Exposure{{1, 60}, FNumber{56}, {400}});
    // It is still busy with what it refused, which a silent one doesn't tell.
    if (kind.ways.is_silent()) wait_until(*body, body->now() + 500ms);
    REQUIRE(body->release_when_free().answer == Answer::ok);
    REQUIRE(body->taken().size() == 1);
    CHECK(body->taken().front().exposure == answer.exposure);
  }
}

TEST_CASE("a busy body takes nothing, and takes the picture later") {
  for (const auto& kind : body_kinds()) {
    CAPTURE(kind.name);
    const auto body = kind.make({from_now(sim::BusyReleases{}, 2)});
    REQUIRE(body->set(quick).answer == Answer::ok);
    if (kind.ways.is_silent()) CHECK(body->release().answer == Answer::ok);
    CHECK(body->release().answer == (kind.ways.is_silent() ? Answer::ok : Answer::busy));
    CHECK(body->taken().empty());
    CHECK(body->release_when_free().answer == Answer::ok);
    CHECK(body->taken().size() == 1);
  }
}

TEST_CASE("a picture that is never announced is unconfirmed, not missing, and the next is itself again") {
  for (const auto& kind : body_kinds()) {
    CAPTURE(kind.name);
    const auto body = kind.make({from_now(sim::LostFrame{}, 1)});
    REQUIRE(body->set(quick).answer == Answer::ok);
    const auto lost = body->release();
    REQUIRE(lost.answer == Answer::ok);
    REQUIRE(lost.frames.size() == 1);
    CHECK(body->taken().size() == 1);
    if (kind.ways.pictures == BodyKind::Ways::Pictures::fetched) {
      CHECK(lost.frames.front().files.size() == 1);
      continue;
    }
    CHECK(lost.frames.front().confirmed == kind.ways.is_silent());
    CHECK(lost.frames.front().files.empty());
    CHECK(body->drain().answer == Answer::ok);
    const auto next = body->release_when_free();
    REQUIRE(next.frames.size() == 1);
    CHECK(next.frames.front().confirmed);
    if (kind.ways.is_silent()) continue;
    CHECK(next.frames.front().files == std::vector<std::string>{"DCIM/100NOONF/NOON0002.RAW"});
  }
}

TEST_CASE("a body that went: gone to every call but reopen, until that finds it, and then as powered on") {
  for (const auto& kind : body_kinds()) {
    CAPTURE(kind.name);
    const auto from = utc_now() + 3s;  // opened by then, on a busy machine and under a sanitizer too
    const auto until = from + 2600ms;
    const auto body = kind.make({{from, until, {}, sim::BodyGone{}}});
    REQUIRE(body->set(quick).answer == Answer::ok);
    wait_until(*body, from + 10ms);
    CHECK(body->set(other).answer == Answer::gone);
    CHECK(body->reopen().answer == Answer::gone);
    for (int n = 0; n < 2; ++n) {
      CHECK(body->set(quick).answer == Answer::gone);
      CHECK(body->release().answer == Answer::gone);
      CHECK(body->drain().answer == Answer::gone);
      wait_until(*body, until + 50ms);
    }
    CHECK(body->reopen().answer == Answer::ok);
    const auto answer = body->set_when_free(other);
    CHECK(answer.answer == Answer::ok);
    CHECK(answer.exposure == other);
    CHECK(body->release_when_free().answer == Answer::ok);
    CHECK(body->taken().size() == 1);
  }
}

TEST_CASE("a burst takes the frames asked for, and single drive no more than one") {
  for (const auto& kind : body_kinds()) {
    CAPTURE(kind.name);
    const auto body = kind.make({});
    REQUIRE(body->set(quick).answer == Answer::ok);
    CHECK(body->release(2).answer == Answer::refused);
    const auto set = body->set(quick, Drive::continuous);
    CHECK((set.drive == Drive::continuous) == kind.ways.bursts);
    if (!kind.ways.bursts) continue;
    const auto answer = body->release_when_free(5);
    REQUIRE(answer.answer == Answer::ok);
    CHECK(answer.frames.size() == 5);
    CHECK(body->taken().size() == 5);
    for (std::size_t n = 1; n < answer.frames.size(); ++n)
      CHECK(answer.frames[n].opened > answer.frames[n - 1].opened);
  }
}
