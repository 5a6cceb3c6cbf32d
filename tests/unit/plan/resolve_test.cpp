#include "lib/plan/resolve.h"

#include <doctest/doctest.h>

namespace noonfall::plan {
namespace {

using contacts::ContactName;
using namespace std::chrono_literals;

const Utc noon = Utc{std::chrono::sys_days{std::chrono::year{2027} / 8 / 2}} + 12h;

/// A total eclipse with its contacts an hour, a minute and 40 s either side of noon.
contacts::Circumstances total_eclipse() {
  contacts::Circumstances sky;
  sky.kind = contacts::Kind::total;
  const Duration offsets[] = {-1h, -100s, 0s, 100s, 1h};
  for (std::size_t n = 0; n < sky.contacts.size(); ++n) {
    contacts::Contact contact;
    contact.utc = noon + offsets[n];
    sky.contacts[n] = contact;
  }
  return sky;
}

/// The same without the Moon covering all of the Sun.
contacts::Circumstances partial_eclipse() {
  auto sky = total_eclipse();
  sky.kind = contacts::Kind::partial;
  sky.contacts[1].reset();
  sky.contacts[3].reset();
  return sky;
}

Instant at(ContactName contact, Duration offset = 0s, double percent = 0) {
  return {ContactOffset{contact, offset, percent}, {}};
}

}  // namespace

TEST_CASE("an offset is counted from its contact, to the microsecond") {
  const auto sky = total_eclipse();
  CHECK(resolve(at(ContactName::c1), sky) == noon - 1h);
  CHECK(resolve(at(ContactName::c2, -8s), sky) == noon - 108s);
  CHECK(resolve(at(ContactName::c3, 1us), sky) == noon + 100s + 1us);
  CHECK(resolve(at(ContactName::c4, -1us), sky) == noon + 1h - 1us);
}

TEST_CASE("a percentage is a part of C3 - C2, from any contact, either way") {
  const auto sky = total_eclipse();  // totality 200 s
  CHECK(resolve(at(ContactName::mid, 0s, 10), sky) == noon + 20s);
  CHECK(resolve(at(ContactName::c2, 0s, 100), sky) == noon + 100s);
  CHECK(resolve(at(ContactName::c3, 0s, -0.5), sky) == noon + 99s);
  CHECK(resolve(at(ContactName::mid, 0s, 0.0000004), sky) == noon + 1us);  // 0.8 us
  CHECK(resolve(at(ContactName::mid, 0s, 0.0000002), sky) == noon);        // 0.4 us
}

TEST_CASE("a UTC instant is itself, whatever the eclipse") {
  CHECK(resolve({noon + 1us, {}}, contacts::Circumstances{}) == noon + 1us);
}

TEST_CASE("a contact that doesn't happen has no instant") {
  CHECK_FALSE(resolve(at(ContactName::c2, -8s), partial_eclipse()));
  CHECK_FALSE(resolve(at(ContactName::c3), partial_eclipse()));
  CHECK(resolve(at(ContactName::mid, 5s), partial_eclipse()) == noon + 5s);
  CHECK_FALSE(resolve(at(ContactName::c1), contacts::Circumstances{}));
}

TEST_CASE("a percentage of a totality there isn't has no instant") {
  auto annular = total_eclipse();
  annular.kind = contacts::Kind::annular;
  CHECK_FALSE(resolve(at(ContactName::mid, 0s, 10), annular));
  CHECK_FALSE(resolve(at(ContactName::mid, 0s, 10), partial_eclipse()));
}

}  // namespace noonfall::plan
