// Near the limits of the path the Moon's edge decides what the eclipse is.
#include <cmath>

#include "lib/limb/beads.h"
#include "lib/limb/limb_contacts.h"
#include "tests/unit/limb/eclipses.h"
#include "tests/unit/limb/strips.h"

using namespace noonfall;
using namespace noonfall::limb;
using namespace noonfall::tests;
using contacts::ContactName;
using contacts::Kind;

namespace {

constexpr double k2_radius_km = 0.272281 * 6378.137;

contacts::Elements eclipse() {
  return *eclipse_of("2027-08-02");
}

/// On the meridian of Tarifa, where the path's northern limit lies near 36.76 N.
contacts::Site at_latitude(double degrees) {
  return {{degrees}, {-5.6033}, {0}};
}

/// A valley across the edge at this angle from lunar north through sky east; metres deep.
Strip with_valley(double axis_angle_deg, double depth_m) {
  auto strip = smooth_strip(k2_radius_km);
  const double around = axis_angle_deg - 360 * std::floor(axis_angle_deg / 360);
  const auto i = static_cast<std::size_t>(around / strip.phi_step_deg);
  for (std::size_t j = 0; j < strip.n_c; ++j)
    strip.cells[i * strip.n_c + j] = static_cast<std::int16_t>(-std::lround(depth_m / 10));
  return strip;
}

}  // namespace

TEST_CASE("outside a smooth Moon's path a larger Moon makes it total, without a correction to compare") {
  const auto site = at_latitude(36.77);
  CHECK(contacts::circumstances(eclipse(), site).kind == Kind::partial);
  const auto found = limb_contacts(smooth_strip(k2_radius_km + 2), eclipse(), site, {});
  CHECK(found.circumstances.kind == Kind::total);
  REQUIRE(found.circumstances.at(ContactName::c2));
  REQUIRE(found.circumstances.at(ContactName::c3));
  CHECK(found.circumstances.at(ContactName::c2)->utc < found.circumstances.at(ContactName::mid)->utc);
  CHECK(found.circumstances.at(ContactName::mid)->utc < found.circumstances.at(ContactName::c3)->utc);
  CHECK(found.circumstances.obscuration == 1);
  CHECK(found.circumstances.magnitude > 1);
  CHECK_FALSE(found.c2_correction);
  CHECK_FALSE(found.c3_correction);
}

TEST_CASE("inside a smooth Moon's path a smaller Moon leaves it partial") {
  const auto site = at_latitude(36.755);
  CHECK(contacts::circumstances(eclipse(), site).kind == Kind::total);
  const auto found = limb_contacts(smooth_strip(k2_radius_km - 2), eclipse(), site, {});
  CHECK(found.circumstances.kind == Kind::partial);
  CHECK_FALSE(found.circumstances.at(ContactName::c2));
  CHECK_FALSE(found.circumstances.at(ContactName::c3));
  CHECK(found.circumstances.magnitude <= 1);
  CHECK(found.circumstances.magnitude > 0.99);
  CHECK(found.circumstances.obscuration > 0.99);
  CHECK(found.spells.empty());
  CHECK(beads(found, ContactName::c2).empty());
}

TEST_CASE("a bead that shines amid totality breaks it in two, and the longer part counts") {
  const auto site = at_latitude(36.74);
  const auto smooth = limb_contacts(smooth_strip(k2_radius_km), eclipse(), site, {});
  REQUIRE(smooth.spells.size() == 1);
  // Where the Sun's edge comes nearest in mid-totality a valley lets through a trace of it.
  const double middle = (smooth.longest.from + smooth.longest.until) / 2;
  const auto nearest = smooth.edges->highest_gap(middle);
  REQUIRE(nearest.gap < 0);
  const contacts::Shadow shadow{eclipse(), delta_t_for(eclipse(), {})};
  const contacts::Observer observer{site};
  const auto view = moon_view(eclipse(), shadow, observer, middle);
  const double metres_per_arcsec = view.from.distance_km * 1000 / (180 * 3600 / pi);
  std::size_t broken = 0;
  for (double trace = 0.05; trace < 0.15; trace += 0.01) {
    const auto strip = with_valley(edge_angle(nearest.n).value - view.north_angle.value,
                                   (trace - nearest.gap) * metres_per_arcsec);
    const auto found = limb_contacts(strip, eclipse(), site, {});
    CHECK(found.circumstances.kind == Kind::total);
    if (found.spells.size() < 2) continue;
    ++broken;
    CHECK(found.spells.size() == 2);
    const auto length = [](const Spell& spell) { return spell.until - spell.from; };
    CHECK(length(found.longest) >= length(found.spells[0]));
    CHECK(length(found.longest) >= length(found.spells[1]));
    // no sunlight anywhere between C2 and C3, and some in the break
    for (int n = 1; n < 50; ++n) {
      const double t = found.longest.from + length(found.longest) * n / 50;
      CHECK(found.edges->highest_gap(t).gap < 0);
    }
    const double in_break = (found.spells[0].until + found.spells[1].from) / 2;
    CHECK(found.edges->highest_gap(in_break).gap > 0);
  }
  CHECK(broken > 0);
}

TEST_CASE("a list of sites and single sites agree, wherever they lie") {
  const auto* strip = gld100_strip();
  if (strip == nullptr) return;
  const LimbBatch batch{*strip, eclipse(), {}};
  for (const double latitude : {20.0, 33.0, 35.7, 36.7, 36.755, 36.765, 36.8, 37.5, 60.0, -60.0}) {
    CAPTURE(latitude);
    const auto one = limb_contacts(*strip, eclipse(), at_latitude(latitude), {}).circumstances;
    const auto brief = batch(at_latitude(latitude));
    CHECK(brief.kind == one.kind);
    CHECK(brief.magnitude == one.magnitude);
    CHECK(brief.obscuration == one.obscuration);
    for (const auto name : contacts::all_contacts) {
      if (one.at(name)) CHECK(brief.utc[static_cast<std::size_t>(name)] == one.at(name)->utc);
    }
  }
}
