// Beads of a Moon made up, and of totality seen near the edge of the path.
#include <algorithm>
#include <cmath>
#include <tuple>

#include "lib/base/sun.h"
#include "lib/limb/beads.h"
#include "tests/unit/limb/eclipses.h"
#include "tests/unit/limb/strips.h"

using namespace noonfall;
using namespace noonfall::limb;
using namespace noonfall::tests;
using contacts::ContactName;

namespace {

/// A sphere with two valleys across the edge, at these angles from lunar north through sky east.
Strip two_valleys(double deep_deg, double shallow_deg) {
  auto strip = smooth_strip(1737.4);
  const auto dig = [&](double phi, std::int16_t height) {
    const auto i = static_cast<std::size_t>(phi / strip.phi_step_deg);
    for (std::size_t j = 0; j < strip.n_c; ++j) strip.cells[i * strip.n_c + j] = height;
  };
  dig(deep_deg, -350);
  dig(shallow_deg, -320);
  return strip;
}

double apart(double a, double b) {
  return std::abs(std::remainder(a - b, 360));
}

const contacts::Site tarifa{{36.0139}, {-5.6033}, {12}};

}  // namespace

TEST_CASE("two valleys on the side where totality begins give a bead each, the deeper one goes out at C2") {
  const auto elements = *eclipse_of("2027-08-02");
  const contacts::Shadow shadow{elements, delta_t_for(elements, {})};
  const contacts::Observer observer{tarifa};
  const auto north =
      moon_view(elements, shadow, observer, solve(shadow, observer)[ContactName::c2]).north_angle;
  const auto smooth = *contacts::circumstances(elements, tarifa).at(ContactName::c2);
  const double axis_angle = smooth.position_angle.value - north.value;
  const auto found = limb_contacts(two_valleys(axis_angle - 8, axis_angle + 12), elements, tarifa, {});
  REQUIRE(found.circumstances.at(ContactName::c2));
  auto list = beads(found, ContactName::c2);
  REQUIRE(list.size() == 3);
  std::sort(list.begin(), list.end(),
            [](const Bead& a, const Bead& b) { return a.after_contact > b.after_contact; });
  const auto& [deep, shallow, crescent] = std::tie(list[0], list[1], list[2]);
  CHECK(std::abs(in_seconds(deep.after_contact)) < 0.01);
  CHECK(apart(deep.position_angle.value, found.circumstances.at(ContactName::c2)->position_angle.value) <
        0.01);
  CHECK(apart(edge_angle(deep.n).value, smooth.position_angle.value - 8) < 0.7);
  CHECK(apart(edge_angle(shallow.n).value, smooth.position_angle.value + 12) < 0.7);
  // what is left of the crescent between them goes out where it would on a smooth Moon
  CHECK(apart(edge_angle(crescent.n).value, smooth.position_angle.value) < 1.5);
  CHECK(in_seconds(crescent.after_contact) < -1);
  // the shallow one shines alone from when the crescent beside it is gone
  REQUIRE(shallow.life);
  const auto& edges = *found.edges;
  const double t = found.longest.from;
  const auto shoulder = shallow.n - 12;  // 0.6 degrees before its middle
  const double rate = edges.gap(crescent.n, t) - edges.gap(crescent.n, t - 1.0 / 3600);
  const double alone_since = (edges.gap(crescent.n, t) - edges.gap(shoulder, t)) / rate;
  CHECK(std::abs(in_seconds(*shallow.life - (shallow.after_contact - crescent.after_contact)) + alone_since) <
        0.3);
}

TEST_CASE("a smooth Moon has one bead, which parts from nothing") {
  const auto elements = *eclipse_of("2027-08-02");
  const auto found = limb_contacts(smooth_strip(1737.4), elements, tarifa, {});
  for (const auto name : {ContactName::c2, ContactName::c3}) {
    const auto list = beads(found, name);
    REQUIRE(list.size() == 1);
    CHECK_FALSE(list[0].life);
    CHECK(std::abs(in_seconds(list[0].after_contact)) < 0.05);
  }
}

TEST_CASE("beads come before C2 and after C3, one of them at the contact itself") {
  const auto* strip = gld100_strip();
  if (strip == nullptr) return;
  for (const auto* date : {"2027-08-02", "2024-10-02"}) {
    const contacts::Site site =
        std::string{date} == "2027-08-02" ? tarifa : contacts::Site{{-27.15}, {-109.43}, {50}};
    const auto found = limb_contacts(*strip, *eclipse_of(date), site, {});
    for (const auto name : {ContactName::c2, ContactName::c3}) {
      const auto list = beads(found, name);
      CHECK(list.size() > 5);
      for (const auto& bead : list) {
        CHECK((name == ContactName::c2 ? -1 : 1) * bead.after_contact.count() >= -10'000);
        CHECK(std::abs(in_seconds(bead.after_contact)) < in_seconds(bead_reach));
        REQUIRE(bead.life);
        CHECK(in_seconds(*bead.life) >= 0.25);
      }
      const auto at_contact = std::any_of(list.begin(), list.end(), [](const Bead& bead) {
        return std::abs(in_seconds(bead.after_contact)) < 0.01;
      });
      if (found.circumstances.kind == contacts::Kind::total) CHECK(at_contact);
    }
  }
}

// The prototype behind the reference vectors: the last bead at 172.4 degrees around the Moon's centre, the
// first at 195.9, the next at 205 to 212.
TEST_CASE(
    "2001 June 21 near the southern limit: the last and first beads are where another program has them") {
  const auto* strip = gld100_strip();
  if (strip == nullptr) return;
  contacts::Settings settings;
  settings.dut1 = from_seconds(-0.0253);
  settings.solar_radius = measured_solar_radius;
  const contacts::Site site{{-(16 + 2.969 / 60)}, {28 + 51.308 / 60}, {400}};
  const auto found = limb_contacts(*strip, *eclipse_of("2001-06-21"), site, settings);
  auto out = beads(found, ContactName::c2);
  auto in = beads(found, ContactName::c3);
  const auto later = [](const Bead& a, const Bead& b) { return a.after_contact < b.after_contact; };
  std::sort(out.begin(), out.end(), later);
  std::sort(in.begin(), in.end(), later);
  CHECK(edge_angle(out.back().n).value == doctest::Approx(172.4).epsilon(0.002));
  CHECK(edge_angle(in[0].n).value == doctest::Approx(195.9).epsilon(0.002));
  CHECK(edge_angle(in[1].n).value > 205);
  CHECK(edge_angle(in[1].n).value < 212);
}
