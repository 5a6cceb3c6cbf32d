#include "daemon/start/move_request.h"

#include <doctest/doctest.h>

#include "lib/time/utc_text.h"

using namespace noonfall;
using namespace noonfall::start;
using namespace std::chrono_literals;
using contacts::ContactName;

namespace {

Utc utc(const char* text) {
  return *parse_utc(text);
}

/// An invented total eclipse around noon.
contacts::Circumstances noon() {
  contacts::Circumstances sky;
  sky.kind = contacts::Kind::total;
  const char* times[] = {"2027-08-02T11:00:00Z", "2027-08-02T12:00:00Z", "2027-08-02T12:02:00Z",
                         "2027-08-02T12:04:00Z", "2027-08-02T13:00:00Z"};
  for (std::size_t n = 0; n < 5; ++n) {
    sky.contacts[n].emplace();
    sky.contacts[n]->utc = utc(times[n]);
  }
  return sky;
}

std::string error_of(const char* text) {
  const auto parsed = parse_move(text);
  return parsed ? "" : to_text(parsed.error());
}

}  // namespace

TEST_CASE("a contact goes to a span from now or to an instant") {
  CHECK(*parse_move("C2=+5min") == MoveRequest{ContactName::c2, Duration{5min}});
  CHECK(*parse_move("C1=-1 min 30 s") == MoveRequest{ContactName::c1, Duration{-90s}});
  CHECK(*parse_move("MID=2026-07-01T20:00:00Z") ==
        MoveRequest{ContactName::mid, utc("2026-07-01T20:00:00Z")});
}

TEST_CASE("what can't be read says what was found and what is wanted") {
  CHECK(error_of("C2") ==
        "error: --move takes a contact and where it goes, not \"C2\"\n"
        "  wanted: such as C2=+5min, or C2=2026-07-01T20:00:00Z\n");
  CHECK(
      error_of("C5=+5min").starts_with("error: --move takes a contact and where it goes, not \"C5=+5min\""));
  CHECK(error_of("C2=+5").starts_with("error: --move C2= goes to \"+5\", which is neither a span"));
  CHECK(error_of("C2=5min").starts_with("error: --move C2= goes to \"5min\", which is neither a span"));
  CHECK(error_of("=").starts_with("error: --move takes a contact"));
}

TEST_CASE("everything moves by what the named contact does") {
  const auto now = utc("2026-07-01T20:00:00Z");
  CHECK(noon().at(ContactName::c2)->utc + *moved_by(*parse_move("C2=+5min"), noon(), now) == now + 5min);
  CHECK(noon().at(ContactName::c4)->utc + *moved_by(*parse_move("C4=2026-07-02T00:00:00Z"), noon(), now) ==
        utc("2026-07-02T00:00:00Z"));
  auto partial = noon();
  partial.contacts[1].reset();
  CHECK(to_text(moved_by(*parse_move("C2=+5min"), partial, now).error()) ==
        "error: there is no C2 at this site to move\n  wanted: a contact that happens there, MID for one\n");
}

TEST_CASE("three hours around the real eclipse belong to it") {
  const auto year_before = -Duration{std::chrono::hours{24 * 365}};
  const auto near = [&](const char* now, Duration moved) {
    return too_near_the_real_one(noon(), utc(now), moved).has_value();
  };
  CHECK_FALSE(near("2026-08-02T12:00:00Z", year_before));
  CHECK_FALSE(near("2027-08-02T08:00:00Z", year_before));
  CHECK(near("2027-08-02T08:00:01Z", year_before));
  CHECK(near("2027-08-02T15:59:59Z", year_before));
  CHECK_FALSE(near("2027-08-02T16:00:00Z", year_before));
  // A moved eclipse that would run into the three hours.
  CHECK(near("2027-08-02T05:00:00Z", -4h));
  CHECK_FALSE(near("2027-08-02T05:00:00Z", -5h));
}

TEST_CASE("who rehearses too near is told what to do instead") {
  const auto told = [](const char* now, Duration moved) {
    return to_text({*too_near_the_real_one(noon(), utc(now), moved)});
  };
  CHECK(told("2027-08-02T12:00:00Z", -4h) ==
        "error: a rehearsal within 3 h of the real eclipse (2027-08-02 11:00 to 2027-08-02 13:00 UTC) is "
        "refused: "
        "it would say to keep the camera filter on when it must come off\n"
        "  wanted: the same command without --move and --simulate\n");
  CHECK(told("2026-08-02T12:00:00Z", Duration{}) ==
        "error: a rehearsal that isn't moved would wait for the real eclipse's own time\n"
        "  wanted: --move, such as C2=+5min, or C2=2026-07-01T20:00:00Z\n");
  CHECK(told("2027-08-02T05:00:00Z", -4h) ==
        "error: a rehearsal within 3 h of the real eclipse (2027-08-02 11:00 to 2027-08-02 13:00 UTC) is "
        "refused, and "
        "--move takes this one there\n"
        "  wanted: another time for --move\n");
}
