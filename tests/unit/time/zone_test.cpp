// The system's zone files against what the C library makes of them (an implementation of its own), and what
// RFC 8536 says of their bytes.
#include "lib/time/zone.h"

#include <doctest/doctest.h>

#include <cstdlib>
#include <ctime>
#include <fstream>
#include <iterator>

namespace noonfall {
namespace {

std::string zone_file(const std::string& name) {
  std::ifstream file{"/usr/share/zoneinfo/" + name, std::ios::binary};
  return {std::istreambuf_iterator<char>{file}, {}};
}

/// Of local time by the C library, at an instant.
struct Libc {
  explicit Libc(const std::string& name) {
    ::setenv("TZ", (":" + name).c_str(), 1);  // NOLINT(concurrency-mt-unsafe): one thread
    ::tzset();
  }
  ZoneOffset at(std::time_t when) const {
    std::tm local{};
    REQUIRE(::localtime_r(&when, &local) != nullptr);
    return {std::chrono::seconds{local.tm_gmtoff}, local.tm_zone};
  }
};

std::string big_endian(std::uint32_t value) {
  std::string bytes;
  for (int shift = 24; shift >= 0; shift -= 8)
    bytes += static_cast<char>(value >> static_cast<unsigned>(shift) & 0xffU);
  return bytes;
}

/// Version 1: an hour ahead until 1000 s after 1970, then two.
std::string small_file() {
  std::string bytes = "TZif" + std::string(16, '\0');
  for (const std::uint32_t count : {0U, 0U, 0U, 1U, 2U, 8U}) bytes += big_endian(count);
  bytes += big_endian(1000) + std::string{'\1'};
  bytes += big_endian(3600) + std::string{'\0', '\0'};
  bytes += big_endian(7200) + std::string{'\1', '\4'};
  return bytes + std::string{"ONE\0TWO\0", 8};
}

}  // namespace

TEST_CASE("offset and abbreviation are the C library's from 1960 to 2036, each 5 h 40 min, in many zones") {
  for (const auto* name :
       {"Europe/Madrid", "Africa/Cairo", "Africa/Casablanca", "America/Argentina/Salta", "Asia/Riyadh",
        "Australia/Lord_Howe", "Pacific/Apia", "Asia/Kathmandu", "Atlantic/Reykjavik", "Etc/UTC"}) {
    CAPTURE(name);
    const auto zone = Zone::parse(zone_file(name));
    REQUIRE(zone);
    const Libc libc{name};
    constexpr std::time_t year_1960 = -315'619'200;
    constexpr std::time_t year_2036 = 2'082'758'400;
    int different = 0;
    for (std::time_t when = year_1960; when < year_2036; when += 20'400)
      different += zone->at(Utc{std::chrono::seconds{when}}) == libc.at(when) ? 0 : 1;
    CHECK(different == 0);
  }
}

TEST_CASE(
    "Luxor is three hours ahead of Greenwich on 2 August 2027: Egypt has summer time again since 2023") {
  const auto zone = Zone::parse(zone_file("Africa/Cairo"));
  REQUIRE(zone);
  const Utc noon{std::chrono::sys_days{std::chrono::year{2027} / 8 / 2} + std::chrono::hours{10}};
  CHECK(zone->at(noon) == ZoneOffset{std::chrono::hours{3}, "EEST"});
  CHECK(zone->wall_clock(noon) == noon + std::chrono::hours{3});
}

TEST_CASE("a change is in force from its second on, and the first offset before all changes") {
  const auto zone = Zone::parse(small_file());
  REQUIRE(zone);
  const ZoneOffset one{std::chrono::hours{1}, "ONE"};
  const ZoneOffset two{std::chrono::hours{2}, "TWO"};
  CHECK(zone->at(Utc{std::chrono::seconds{-5000}}) == one);
  CHECK(zone->at(Utc{std::chrono::seconds{1000} - Duration{1}}) == one);
  CHECK(zone->at(Utc{std::chrono::seconds{1000}}) == two);
}

TEST_CASE("a zone file cut short anywhere is refused") {
  const auto small = small_file();
  for (std::size_t size = 0; size < small.size(); ++size) CHECK_FALSE(Zone::parse(small.substr(0, size)));
  const auto madrid = zone_file("Europe/Madrid");
  for (std::size_t size = 0; size + 40 < madrid.size(); size += 7)  // the last bytes are the rule, not used
    CHECK_FALSE(Zone::parse(madrid.substr(0, size)));
}

TEST_CASE("counts, indexes and offsets that can't be are refused") {
  const auto changed = [](std::size_t at, char byte) {
    auto bytes = small_file();
    bytes[at] = byte;
    return Zone::parse(bytes).has_value();
  };
  CHECK(changed(5, 'x'));            // reserved
  CHECK_FALSE(changed(0, 't'));      // no TZif
  CHECK_FALSE(changed(32, '\x7f'));  // two thousand million changes
  CHECK_FALSE(changed(39, '\0'));    // no offset at all
  CHECK_FALSE(changed(48, '\2'));    // a third offset of two
  CHECK_FALSE(changed(49, '\x01'));  // 4660 h ahead
  CHECK_FALSE(changed(54, '\x08'));  // an abbreviation after the letters
  const auto refused = Zone::parse("");
  REQUIRE_FALSE(refused);
  CHECK(to_text(refused.error()) ==
        "error: the zone file is damaged\n  wanted: the system's tzdata installed anew\n");
}

}  // namespace noonfall
