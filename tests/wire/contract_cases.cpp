#include "tests/wire/contract_cases.h"

#include <doctest/doctest.h>

namespace noonfall::tests {
namespace {

using exposure::Exposure;
using rig::Answer;

void check_taken(const BodyKind& kind, const rig::DeviceAnswer& answer) {
  REQUIRE(answer.answer == Answer::ok);
  REQUIRE(answer.frames.size() == 1);
  const auto& frame = answer.frames.front();
  CHECK(frame.confirmed);
  CHECK(frame.files.size() == (kind.ways.is_silent() ? 0 : 1));
  CHECK(frame.opened >= answer.released);
  CHECK(frame.closed > frame.opened);
  CHECK(answer.at >= frame.closed);
}

void check_settings(const rig::DeviceAnswer& answer, const Exposure& wanted) {
  CHECK(answer.answer == Answer::ok);
  CHECK(answer.exposure == wanted);
  CHECK(answer.drive == body::Drive::single);
}

}  // namespace

void check_fresh_body(const BodyKind& kind) {
  const auto& [name, make, quick, other, ways] = kind;
  {
    const auto body = make({});
    check_settings(body->set(quick), quick);
    check_settings(body->set(quick), quick);
    check_settings(body->set_when_free(other), other);
    CHECK(body->release(0).answer == Answer::refused);
    check_taken(kind, body->release_when_free());
  }
  check_taken(kind, make({})->release_when_free());
  CHECK(make({})->drain().answer == Answer::ok);
  {
    const auto body = make({});
    CHECK(body->reopen(order::Remedy::reset_port).answer == Answer::ok);
    CHECK(body->reopen(order::Remedy::drain_and_retry).answer == Answer::ok);
    check_settings(body->set_when_free(quick), quick);
  }
  const auto body = make({});
  const auto care = body->look_after();
  CHECK(care.alarms.empty());
  CHECK_FALSE(care.gone);
  check_settings(body->set(quick), quick);
}

void check_busy_body(const BodyKind& kind) {
  const auto& [name, make, quick, other, ways] = kind;
  const auto body = make({});
  REQUIRE(body->set(quick).answer == Answer::ok);
  check_taken(kind, body->release_when_free());
  const auto again = body->release();
  CHECK((again.answer == Answer::ok || again.answer == Answer::busy));
  check_settings(body->set_when_free(other), other);
  check_taken(kind, body->release_when_free());
  CHECK(body->drain().answer == Answer::ok);
  check_taken(kind, body->release_when_free());
  CHECK(body->reopen().answer == Answer::ok);
  check_settings(body->set_when_free(quick), quick);
  check_taken(kind, body->release_when_free());
  CHECK(body->look_after().alarms.empty());
  check_taken(kind, body->release_when_free());
}

}  // namespace noonfall::tests
