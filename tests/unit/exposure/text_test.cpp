#include <doctest/doctest.h>

#include "lib/exposure/exposure.h"
#include "lib/exposure/scale.h"

using namespace noonfall::exposure;

TEST_CASE("shutter times are read as cameras write them") {
  CHECK(parse_shutter("1/2000") == Shutter{1, 2000});
  CHECK(parse_shutter("1/2000 s") == Shutter{1, 2000});
  CHECK(parse_shutter("2 s") == Shutter{2, 1});
  CHECK(parse_shutter("2s") == Shutter{2, 1});
  CHECK(parse_shutter("1.3 s") == Shutter{13, 10});
  CHECK(parse_shutter("10/25") == Shutter{2, 5});
  CHECK(parse_shutter("0.5 s") == parse_shutter("1/2"));
}

TEST_CASE("shutter times end at 1/64000 s and 900 s") {
  CHECK(parse_shutter("1/64000") == Shutter{1, 64000});
  CHECK_FALSE(parse_shutter("1/64001"));
  CHECK(parse_shutter("900 s") == Shutter{900, 1});
  CHECK_FALSE(parse_shutter("900.1 s"));
  CHECK_FALSE(parse_shutter("901 s"));
}

TEST_CASE("what isn't clearly a shutter time is refused") {
  for (const auto* text :
       {"",     "2",    "s",     "1/",    "/2000",         "1/0",           "0/1",         "0 s",    "-1 s",
        "+1 s", "-1/2", "1/-2",  "1//2",  "1/2/3",         "1/2.5",         "01/2",        "1/02",   "1 s s",
        "2 ms", "bulb", "1e3 s", "nan s", "99999999999/1", "1/99999999999", "0.0000001 s", "1.3.1 s"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_shutter(text));
  }
}

TEST_CASE("f-numbers have at most one decimal and end at f/0.7 and f/128") {
  CHECK(parse_f_number("f/8") == FNumber{80});
  CHECK(parse_f_number("f/5.6") == FNumber{56});
  CHECK(parse_f_number("f/0.7") == FNumber{7});
  CHECK(parse_f_number("f/128") == FNumber{1280});
  for (const auto* text :
       {"", "8", "f8", "F/8", "f/", "f/0.6", "f/128.1", "f/5.65", "f/-8", "f/+8", "f/ 8", "f/08"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_f_number(text));
  }
}

TEST_CASE("ISO values are plain integers from 6 to 409600") {
  CHECK(parse_iso("6") == Iso{6});
  CHECK(parse_iso("409600") == Iso{409600});
  for (const auto* text : {"", "5", "409601", "+400", "-400", "400.0", "ISO 400", "0400", "auto"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_iso(text));
  }
}

TEST_CASE("exposures are written as photographers read them") {
  CHECK(to_text(Exposure{{1, 2000}, FNumber{80}, {400}}) == "1/2000 f/8 ISO 400");
  CHECK(to_text(Exposure{{2, 1}, FNumber{56}, {100}}) == "2 s f/5.6 ISO 100");
  CHECK(to_text(Exposure{{1, 60}, std::nullopt, {800}}) == "1/60 ISO 800");
  CHECK(to_text(Shutter{13, 10}) == "1.3 s");
  CHECK(to_text(Shutter{1, 2}) == "0.5 s");
  CHECK(to_text(Shutter{9, 100000}) == "9/100000");  // never "9e-05 s", which can't be read back
  CHECK(to_text(Shutter{1, 3}) == "1/3");
  CHECK(to_text(Shutter{2, 3}) == "2/3");
}

TEST_CASE("every name on the scales reads back to itself") {
  for (const auto shutter : third_stop_shutters()) {
    CAPTURE(to_text(shutter));
    CHECK(parse_shutter(to_text(shutter)) == shutter);
  }
  for (const auto aperture : third_stop_f_numbers()) CHECK(parse_f_number(to_text(aperture)) == aperture);
  for (const auto iso : third_stop_isos()) CHECK(parse_iso(to_text(iso).substr(4)) == iso);
}

TEST_CASE("every fraction in lowest terms reads back to itself") {
  for (std::int32_t n = 1; n <= 40; ++n) {
    for (std::int32_t d = 1; d <= 4000; d = d * 3 / 2 + 1) {
      const auto shutter = parse_shutter(std::to_string(n) + "/" + std::to_string(d));
      REQUIRE(shutter);
      CAPTURE(to_text(*shutter));
      CHECK(parse_shutter(to_text(*shutter)) == shutter);
      CHECK(nominal_seconds(*shutter) == doctest::Approx(static_cast<double>(n) / d).epsilon(1e-12));
    }
  }
}
