// How the Moon is turned, and how far its edge stands out, against independent computations.
#include <cmath>
#include <map>

#include "lib/base/units.h"
#include "lib/limb/directions.h"
#include "lib/limb/sky_view.h"
#include "tests/unit/contacts/reference_table.h"
#include "tests/unit/limb/strips.h"

using namespace noonfall;
using namespace noonfall::limb;
using namespace noonfall::tests;

namespace {

constexpr double arcsec = 180 * 3600 / pi;

}  // namespace

TEST_CASE("the Moon's axes are those an independent reading of the WGCCRE series gives") {
  for (const auto& row : reference::read_table("limb_vectors_orientation.csv")) {
    const auto axes = mean_earth_axes(std::stod(row.at("jd_tdb")));
    for (std::size_t r = 0; r < 3; ++r) {
      for (std::size_t c = 0; c < 3; ++c) {
        CAPTURE(row.at("jd_tdb"));
        CHECK(std::abs(axes[r][c] - std::stod(row.at("m" + std::to_string(r) + std::to_string(c)))) < 1e-9);
      }
    }
  }
}

TEST_CASE("the profile of the reference strip is that of an independent computation, within 0.003\"") {
  const auto* strip = gld100_strip();
  if (strip == nullptr) return;
  double worst = 0;
  int count = 0;
  for (const auto& row : reference::read_table("limb_vectors_profile.csv")) {
    const Viewpoint from{
        {std::stod(row.at("sub_lon"))}, {std::stod(row.at("sub_lat"))}, std::stod(row.at("dist_km"))};
    const auto edge = edge_tangents(*strip, from, {radians({std::stod(row.at("axis_angle_deg"))})});
    worst =
        std::max(worst, std::abs(std::atan(edge.at(0)) * arcsec - std::stod(row.at("limb_arcsec_16x16"))));
    ++count;
  }
  CHECK(count == 120);
  CHECK(worst < 0.003);
}

TEST_CASE("a smooth sphere's edge is where the tangent touches it") {
  const double distance = 370000;
  const auto edge = edge_tangents(smooth_strip(1738), {{5}, {-6}, distance}, {0, 1, 2, 3, 4, 5, 6});
  for (const double tangent : edge)
    CHECK(std::atan(tangent) == doctest::Approx(std::asin(1738 / distance)).epsilon(1e-6));
}

TEST_CASE("a mountain on the Moon's west stands out in the east of the sky") {
  auto strip = smooth_strip(1737.4);
  // selenographic longitude -90, latitude 0: phi 90, c 90
  for (std::size_t i = 179; i <= 180; ++i) {
    for (std::size_t j = 31; j <= 32; ++j) strip.cells[i * strip.n_c + j] = 500;
  }
  const auto edge = edge_tangents(strip, {{0}, {0}, 370000}, {radians({90}), radians({270})});
  CHECK((edge[0] - edge[1]) * arcsec == doctest::Approx(5 / 370000.0 * arcsec).epsilon(0.02));
}
