#include <doctest/doctest.h>

#include "lib/exposure/scale.h"
#include "sim/wire/camera_codes.h"

using namespace noonfall;
using namespace noonfall::wire;

// That a real host reads these codes as the same exposures is tested with the real camera library
// (tests/wire).

TEST_CASE("the standard's exposure time is in tenths of a millisecond, its f-number in hundredths") {
  // ISO 15740, ExposureTime and FNumber properties (from memory).
  CHECK(tenths_of_ms({1, 500}) == 20);
  CHECK(tenths_of_ms({30, 1}) == 300'000);
  CHECK(hundredths({56}) == 560);
  CHECK(exposure_index({12800}) == 12800);
  CHECK(exposure_index({102400}) == 0xFFFF);
}

TEST_CASE("the shortest exposure times share a code of the standard's, and none is zero") {
  CHECK(tenths_of_ms({1, 8000}) == 1);
  CHECK(tenths_of_ms({1, 64000}) == 1);
  CHECK(tenths_of_ms({1, 6400}) == tenths_of_ms({1, 5000}));
}

TEST_CASE("a fraction has its numerator above its denominator") {
  CHECK(fraction({1, 8000}) == (1U << 16 | 8000));
  CHECK(fraction({2, 5}) == (10U << 16 | 25));
  CHECK(fraction({3, 10}) == (10U << 16 | 33));
  CHECK(fraction({13, 10}) == (13U << 16 | 10));
  CHECK(fraction({30, 1}) == (30U << 16 | 1));
}

TEST_CASE("eighths of a stop count from 1 s, f/1 and ISO 100, thirds being 3 and 5 eighths") {
  CHECK(eighths(exposure::Shutter{1, 1}) == 0x38);
  CHECK(eighths(exposure::Shutter{30, 1}) == 0x10);
  CHECK(eighths(exposure::Shutter{25, 1}) == 0x13);
  CHECK(eighths(exposure::Shutter{20, 1}) == 0x15);
  CHECK(eighths(exposure::Shutter{4, 5}) == 0x3B);
  CHECK(eighths(exposure::Shutter{1, 8000}) == 0xA0);
  CHECK(eighths(exposure::FNumber{10}) == 0x08);
  CHECK(eighths(exposure::FNumber{56}) == 0x30);
  CHECK(eighths(exposure::FNumber{80}) == 0x38);
  CHECK(eighths(exposure::Iso{100}) == 0x48);
  CHECK(eighths(exposure::Iso{50}) == 0x40);
  CHECK(eighths(exposure::Iso{25600}) == 0x88);
}

TEST_CASE("fractions and eighths tell all the shutter times of the third-stop scale apart") {
  const auto scale = exposure::third_stop_shutters();
  for (std::size_t n = 1; n < scale.size(); ++n) {
    CAPTURE(exposure::to_text(scale[n]));
    CHECK(fraction(scale[n]) != fraction(scale[n - 1]));
    CHECK(eighths(scale[n]) < eighths(scale[n - 1]));
  }
}
