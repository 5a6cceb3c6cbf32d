// The Moon of DE405 as read here against a second general library's: libnova, whose Moon is the full
// ELP2000-82B, 0.48" rms from DE405.
#include <algorithm>
#include <cmath>
#include <cstdio>

#include <doctest/doctest.h>

#ifdef NOONFALL_HAS_NOVA
#include <libnova/libnova.h>

#include "tests/unit/elements_maker/de405.h"

using namespace noonfall::elements_maker;
using noonfall::tests::de405;

namespace {

constexpr double arcsec_per_radian = 648000 / 3.14159265358979323846;

/// Geometric, kilometres, axes of the equator of J2000.
Vector libnova_moon(double jd) {
  constexpr double obliquity = 84381.448 / arcsec_per_radian;  // of J2000, IAU 1976
  ln_rect_posn ecliptic{};
  ln_get_lunar_geo_posn(jd, &ecliptic, 0);
  return {ecliptic.X, ecliptic.Y * std::cos(obliquity) - ecliptic.Z * std::sin(obliquity),
          ecliptic.Y * std::sin(obliquity) + ecliptic.Z * std::cos(obliquity)};
}

Vector our_moon(const Epoch& tdb) {
  auto place = de405().moon(tdb).place;
  const auto earth = de405().earth(tdb).place;
  for (std::size_t axis = 0; axis < 3; ++axis) place[axis] -= earth[axis];
  return place;
}

double length(const Vector& v) {
  return std::hypot(v[0], v[1], v[2]);
}

double angle_arcsec(const Vector& a, const Vector& b) {
  const Vector cross{a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
  return length(cross) / length(a) / length(b) * arcsec_per_radian;
}

}  // namespace

TEST_CASE("the Moon is where a second general library has it") {
  double square = 0;
  double worst = 0;
  int count = 0;
  for (double mjd = 36934; mjd < 73440; mjd += 11.63, ++count) {
    const Epoch tdb{std::floor(mjd), (mjd - std::floor(mjd)) * 24};
    const auto theirs = libnova_moon(2400000.5 + mjd);
    const auto ours = our_moon(tdb);
    const double apart = angle_arcsec(ours, theirs);
    worst = std::max(worst, apart);
    square += apart * apart;
    CHECK(std::abs(length(ours) - length(theirs)) < 1);
  }
  std::printf("libnova's Moon: rms %.3f arcsec, worst %.3f\n", std::sqrt(square / count), worst);
  CHECK(std::sqrt(square / count) < 0.6);
  CHECK(worst < 1.5);
}
#else
TEST_CASE("the Moon is where a second general library has it") {
  std::puts("SKIPPED: no reference, libnova-dev isn't installed");
}
#endif
