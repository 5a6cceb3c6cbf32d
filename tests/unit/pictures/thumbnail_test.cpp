// Small pictures, written by the encoder of rehearsals and read as a worker reads a body's.
#include "daemon/pictures/thumbnail.h"

#include <doctest/doctest.h>

#include "daemon/pictures/jpeg.h"
#include "daemon/pictures/small_jpeg.h"

using namespace noonfall;

namespace {

std::string grey(int width, int height, std::uint8_t value) {
  return pictures::to_jpeg(std::vector<std::uint8_t>(
                               static_cast<std::size_t>(width) * static_cast<std::size_t>(height) * 3, value),
                           width, height);
}

}  // namespace

TEST_CASE("a small JPEG is read, a larger one halved, and what is no whole JPEG is none") {
  const auto read = pictures::read_thumbnail(grey(160, 107, 200));
  REQUIRE(read);
  CHECK(read->width == 160);
  CHECK(read->height == 107);
  CHECK(read->rgb.size() == std::size_t{160} * 107 * 3);
  CHECK(read->rgb[7] == doctest::Approx(200).epsilon(0.02));
  CHECK(pictures::read_thumbnail(grey(1620, 1080, 90))->width == 405);
  CHECK_FALSE(pictures::read_thumbnail(grey(4200, 8, 90)));
  const auto whole = grey(160, 107, 200);
  CHECK_FALSE(pictures::read_thumbnail({}));
  CHECK_FALSE(pictures::read_thumbnail("II*\\0 a raw file"));
  CHECK_FALSE(pictures::read_thumbnail(std::string_view{whole}.substr(0, whole.size() / 2)));
}

TEST_CASE("a simulated body's small picture has the Sun as the day's file says") {
  sim::Day day;
  day.eclipse = Date{std::chrono::year{2027}, std::chrono::August, std::chrono::day{2}};
  day.site = {{36.0139}, {-5.6033}, {12}};
  day.width = Degrees{4.1};
  day.height = Degrees{2.7};
  const auto read = sim::parse_day(sim::to_text(day));
  REQUIRE(read);
  CHECK_FALSE(sim::parse_day("{}"));
  // An hour before first contact, at 06:40 UTC: a whole disc, by the exposure table neither full nor dark.
  const Utc opened{std::chrono::sys_days{day.eclipse} + std::chrono::hours{6} + std::chrono::minutes{40}};
  const exposure::Exposure exposure{{1, 500}, exposure::FNumber{80}, {200}};
  const auto jpeg =
      pictures::small_jpeg(sim::Sketcher{*read}, opened, opened + std::chrono::milliseconds{2}, exposure);
  CHECK(jpeg.size() < 10'000);
  const auto seen = look::see(*pictures::read_thumbnail(jpeg));
  CHECK(seen.brightness > 0.2);
  CHECK(seen.clipped == 0);
  // 0.526 degrees across, in early August: of 160 pixels over 4.1 degrees, 20.5, an area of 331.
  CHECK(seen.pixels == doctest::Approx(331).epsilon(0.1));
  CHECK(seen.room > 0.2);
}
