// Message layout and the Float format: chrony 4.3, candm.h. The bound: chronyc(1), "tracking".
#include "daemon/clock/chrony_tracking.h"

#include <doctest/doctest.h>

#include "tests/unit/clock/chrony_messages.h"
#include "tests/unit/clock/machine.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;
using tests::Answer;
using tests::noon;

std::string refusal(const Answer& answer, std::uint32_t sequence = 1) {
  const auto decoded = decode_tracking(tests::bytes_of(answer), sequence);
  return decoded ? "" : decoded.error();
}

ChronyTracking healthy() {
  ChronyTracking tracking;
  tracking.reference_id = 0x50505300;
  tracking.stratum = 1;
  tracking.reference_time = noon - 10s;
  tracking.correction_s = -0.0004;
  tracking.skew_ppm = 2;
  tracking.root_delay_s = 0.002;
  tracking.root_dispersion_s = 0.001;
  tracking.update_interval_s = 16;
  return tracking;
}

std::string judged_bad(const ChronyTracking& tracking) {
  const auto judged = judge_tracking(tracking, noon);
  return judged ? "" : judged.error();
}

}  // namespace

TEST_CASE("the question to chronyd is a padded tracking request") {
  std::vector<std::byte> expected(104);
  tests::put(expected, 0, 1, 6);
  tests::put(expected, 1, 1, 1);
  tests::put(expected, 4, 2, 33);
  tests::put(expected, 8, 4, 0xDEADBEEF);
  const auto request = tracking_request(0xDEADBEEF);
  CHECK(std::vector<std::byte>(request.begin(), request.end()) == expected);
}

TEST_CASE("chronyd's answer is read field by field") {
  Answer answer;
  answer.sequence = 0x01020304;
  answer.reference_id = 0xC0000201;
  answer.stratum = 3;
  answer.leap = 1;
  answer.reference_time = noon + 123456us;
  answer.correction_s = -0.25;  // powers of two have exact Floats
  answer.skew_ppm = 0.125;
  answer.root_delay_s = 0.0625;
  answer.root_dispersion_s = 0.03125;
  answer.update_interval_s = 64;
  const auto tracking = decode_tracking(tests::bytes_of(answer), 0x01020304);
  REQUIRE(tracking);
  CHECK(tracking->reference_id == 0xC0000201);
  CHECK(tracking->stratum == 3);
  CHECK(tracking->leap == 1);
  CHECK(tracking->reference_time == noon + 123456us);
  CHECK(tracking->correction_s == -0.25);
  CHECK(tracking->skew_ppm == 0.125);
  CHECK(tracking->root_delay_s == 0.0625);
  CHECK(tracking->root_dispersion_s == 0.03125);
  CHECK(tracking->update_interval_s == 64);
}

TEST_CASE("a host with 32 bits of time writes no upper half") {
  auto bytes = tests::bytes_of({});
  tests::put(bytes, 56, 4, 0x7FFFFFFF);  // TV_NOHIGHSEC
  tests::put(bytes, 60, 4, 1'800'000'000);
  const auto tracking = decode_tracking(bytes, 1);
  REQUIRE(tracking);
  CHECK(tracking->reference_time == Utc{1'800'000'000s});
}

TEST_CASE("answers of another shape are refused in words") {
  auto changed = [](auto change) {
    Answer answer;
    change(answer);
    return refusal(answer);
  };
  CHECK(refusal({}) == "");
  CHECK(refusal({}, 2) == "chronyd's answer is to another question");
  CHECK(changed([](Answer& a) { a.version = 5; }) ==
        "chronyd speaks version 5 of its protocol, this program knows 6");
  CHECK(changed([](Answer& a) { a.type = 1; }) == "chronyd's answer is to another question");
  CHECK(changed([](Answer& a) { a.command = 14; }) == "chronyd's answer is to another question");
  CHECK(changed([](Answer& a) { a.reply = 1; }) == "chronyd's answer is to another question");
  CHECK(changed([](Answer& a) { a.status = 2; }) == "chronyd refuses to answer (status 2)");
  CHECK(changed([](Answer& a) { a.root_delay_s = -0.001; }) == "chronyd's answer holds impossible figures");
  CHECK(changed([](Answer& a) { a.root_dispersion_s = -1; }) == "chronyd's answer holds impossible figures");
  CHECK(changed([](Answer& a) { a.skew_ppm = -1; }) == "chronyd's answer holds impossible figures");
  CHECK(changed([](Answer& a) { a.correction_s = 1e18; }) == "chronyd's answer holds impossible figures");
}

TEST_CASE("an answer cut at any length is refused, never read beyond") {
  const auto whole = tests::bytes_of({});
  for (std::size_t size = 0; size < whole.size(); ++size) {
    const auto decoded = decode_tracking(std::span{whole}.first(size), 1);
    REQUIRE_FALSE(decoded);
    CHECK(decoded.error() == "chronyd answers with " + std::to_string(size) + " bytes instead of 104");
  }
}

TEST_CASE("only what repeats our number is an answer") {
  const auto bytes = tests::bytes_of({});
  CHECK(answers(bytes, 1));
  CHECK_FALSE(answers(bytes, 2));
  CHECK_FALSE(answers(std::span{bytes}.first(19), 1));
}

TEST_CASE("the largest Float, chronyd's infinity, is impossible") {
  auto bytes = tests::bytes_of({});
  tests::put(bytes, 96, 4, 0x7EFFFFFF);  // exponent 63, coefficient 2^24 - 1
  CHECK_FALSE(decode_tracking(bytes, 1));
}

TEST_CASE("the clock's error is chronyd's correction, within dispersion and half the delay") {
  CHECK(judge_tracking(healthy(), noon) == ChronyError{400us, 2ms});
}

TEST_CASE("an old reference adds skew times age") {
  auto tracking = healthy();
  tracking.reference_time = noon - 192s;  // three default update intervals
  CHECK(judge_tracking(tracking, noon)->bound == 2ms);
  tracking.reference_time = noon - 2h;
  CHECK(judge_tracking(tracking, noon)->bound == 2ms + 14400us);  // 2 ppm of 7200 s
  tracking.update_interval_s = 2400;
  CHECK(judge_tracking(tracking, noon)->bound == 2ms);
}

// From memory of chrony's reference.c: the reference time is adjusted along with the corrected clock.
TEST_CASE("chronyd's word on a clock that was set by an hour is believed") {
  for (const double hour_s : {3600.0, -3600.0}) {
    auto tracking = healthy();
    tracking.correction_s = hour_s;
    tracking.reference_time = noon + from_seconds(hour_s) - 10s;
    CHECK(judge_tracking(tracking, noon) == ChronyError{from_seconds(-hour_s), 2ms});
  }
}

TEST_CASE("references that vouch for nothing are refused in words") {
  auto changed = [](auto change) {
    auto tracking = healthy();
    change(tracking);
    return judged_bad(tracking);
  };
  CHECK(changed([](ChronyTracking& t) { t.leap = 3; }) == "chronyd is not synchronised");
  CHECK(changed([](ChronyTracking& t) { t.stratum = 0; }) == "chronyd is not synchronised");
  CHECK(changed([](ChronyTracking& t) { t.stratum = 16; }) == "chronyd is not synchronised");
  CHECK(changed([](ChronyTracking& t) { t.reference_id = 0x7F7F0101; }) ==
        "chronyd takes this computer's own clock for its reference");
  const auto corrected = noon + from_seconds(healthy().correction_s);
  CHECK(changed([&](ChronyTracking& t) { t.reference_time = corrected - 24h - 1us; }) ==
        "chronyd's last measurement is 24 h old");
  CHECK(changed([&](ChronyTracking& t) { t.reference_time = corrected - 24h; }) == "");
  CHECK(changed([&](ChronyTracking& t) { t.reference_time = corrected + 1s + 1us; }) ==
        "chronyd's last measurement lies in the future: the clock was set back since");
}

}  // namespace noonfall::clock
