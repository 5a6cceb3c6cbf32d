// The whole way from an elevation image to C2 and C3, on a Moon made up from a seed, against a computation
// that knows its hills as a formula and tries points of the Sun's edge one by one.
// How the Moon is turned is moon_view()'s on both sides: profile_test.cpp has that against another program's.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <random>

#include "lib/limb/directions.h"
#include "lib/limb/elevation_image.h"
#include "lib/limb/limb_contacts.h"
#include "tests/unit/limb/eclipses.h"
#include "tests/unit/limb/strips.h"

using namespace noonfall;
using namespace noonfall::limb;
using namespace noonfall::tests;
using contacts::ContactName;

namespace {

constexpr double moon_radius_km = 1737.4;

/// Waves across space whose sum over the sphere are hills 5 degrees wide and wider, kilometres high.
class Moon {
 public:
  explicit Moon(std::uint32_t seed) {
    std::mt19937 random{seed};
    const auto between = [&](double low, double high) {
      return low + (high - low) * static_cast<double>(random()) / 4294967296.0;
    };
    for (auto& wave : waves_) {
      for (auto& each : wave.across) each = between(-25, 25);
      wave.phase = between(0, 2 * pi);
    }
  }

  [[nodiscard]] double height_km(const Vector& at) const {
    double sum = 0;
    for (const auto& wave : waves_)
      sum += std::sin(wave.across[0] * at[0] + wave.across[1] * at[1] + wave.across[2] * at[2] + wave.phase);
    return 0.4 * sum;
  }

 private:
  struct Wave {
    Vector across{};
    double phase = 0;
  };
  std::array<Wave, 12> waves_;
};

/// As `limb build` has it, through an image of 4 pixels a degree and a file's bytes.
Strip strip_of(const Moon& moon) {
  const ElevationLabel label{"MADE_UP.IMG", 4, ElevationLabel::Sample::int16, 0.0005, moon_radius_km};
  std::string bytes(label.image_bytes(), '\0');
  char* at = bytes.data();
  for (std::uint32_t line = 0; line < label.lines(); ++line) {
    const double latitude = radians({90 - (line + 0.5) / 4});
    for (std::uint32_t sample = 0; sample < label.samples(); ++sample, at += 2) {
      const double longitude = radians({(sample + 0.5) / 4});
      const double height = moon.height_km({std::cos(latitude) * std::cos(longitude),
                                            std::cos(latitude) * std::sin(longitude), std::sin(latitude)});
      const auto value = static_cast<std::int16_t>(std::lround(height * 2000));
      std::memcpy(at, &value, 2);
    }
  }
  const auto built = build_strip(label, ElevationImage{label, bytes});
  REQUIRE(built);
  auto read = parse_strip(to_bytes(*built));
  REQUIRE(read);
  return std::move(*read);
}

/// Angle from the Moon's centre to the highest terrain in the direction `axis_angle`, radians, as seen by
/// `from`.
double edge_of(const Moon& moon, const Viewpoint& from, double axis_angle) {
  const double longitude = radians(from.longitude);
  const double latitude = radians(from.latitude);
  const Vector below{std::cos(latitude) * std::cos(longitude), std::cos(latitude) * std::sin(longitude),
                     std::sin(latitude)};
  const Vector north{-std::sin(latitude) * std::cos(longitude), -std::sin(latitude) * std::sin(longitude),
                     std::cos(latitude)};
  const Vector east{std::sin(longitude), -std::cos(longitude), 0};  // of our sky: towards lunar west
  double highest = 0;
  for (double c = 82; c < 97; c += 0.02) {
    const double out = std::sin(radians({c}));
    Vector at;
    for (std::size_t n = 0; n < 3; ++n)
      at[n] = std::cos(radians({c})) * below[n] +
              out * (std::cos(axis_angle) * north[n] + std::sin(axis_angle) * east[n]);
    const double radius = moon_radius_km + moon.height_km(at);
    highest =
        std::max(highest, std::atan(radius * out / (from.distance_km - radius * std::cos(radians({c})))));
  }
  return highest;
}

/// One site's eclipse, and the Moon's edge as it is about one contact, every 0.1 degrees of position angle.
class BruteForce {
 public:
  BruteForce(const Moon& moon, const Scene& scene, double about) : scene_{scene} {
    const auto view = moon_view(scene.elements, scene.shadow, scene.observer, about);
    for (std::size_t n = 0; n < edges_.size(); ++n)
      edges_[n] =
          edge_of(moon, view.from, radians({static_cast<double>(n) / 10}) - radians(view.north_angle));
  }

  /// Whether every one of 20,000 points of the Sun's edge lies behind the Moon.
  [[nodiscard]] bool is_dark(double t) const {
    const auto now = discs(scene_.shadow, scene_.observer, scene_.solar_radius, t);
    constexpr int points = 20'000;
    for (int n = 0; n < points; ++n) {
      const double angle = 2 * pi * n / points;
      const double east = now.offset * now.sine + now.sun_radius * std::sin(angle);
      const double north = now.offset * now.cosine + now.sun_radius * std::cos(angle);
      if (std::hypot(east, north) > edge_at(std::atan2(east, north))) return false;
    }
    return true;
  }

  /// Where darkness begins or ends between two instants, hours.
  [[nodiscard]] double change(double from, double to) const {
    const bool dark = is_dark(from);
    REQUIRE(dark != is_dark(to));
    for (int n = 0; n < 24; ++n) {
      const double middle = (from + to) / 2;
      (is_dark(middle) == dark ? from : to) = middle;
    }
    return from;
  }

 private:
  [[nodiscard]] double edge_at(double position_angle) const {
    const double at = position_angle / (2 * pi) * 3600 + (position_angle < 0 ? 3600 : 0);
    const auto n = static_cast<std::size_t>(at);
    const double share = at - static_cast<double>(n);
    return edges_[n % 3600] * (1 - share) + edges_[(n + 1) % 3600] * share;
  }

  const Scene& scene_;
  std::array<double, 3600> edges_{};
};

struct Place {
  const char* date;
  contacts::Site site;
};

}  // namespace

TEST_CASE("on a made-up Moon C2 and C3 are when the first and last of the Sun's edge is behind its hills") {
  constexpr double second = 1.0 / 3600;
  double most_moved = 0;  // by the hills
  for (const std::uint32_t seed : {1U, 1961U}) {
    const Moon moon{seed};
    const auto strip = strip_of(moon);
    for (const auto& place :
         {Place{"2027-08-02", {{25.5}, {33.2}, {200}}}, Place{"2027-08-02", {{36.3}, {-5.6}, {0}}},
          Place{"2024-04-08", {{32.8}, {-96.8}, {130}}}}) {
      CAPTURE(seed);
      CAPTURE(place.date);
      const auto elements = *eclipse_of(place.date);
      contacts::Settings settings;
      settings.solar_radius = measured_solar_radius;
      const auto found = limb_contacts(strip, elements, place.site, settings);
      REQUIRE(found.circumstances.kind == contacts::Kind::total);
      REQUIRE(found.spells.size() == 1);
      const contacts::Shadow shadow{elements, delta_t_for(elements, settings), settings.solar_radius};
      const contacts::Observer observer{place.site};
      const Scene scene{elements, shadow, observer, settings.solar_radius};
      const auto smooth = solve(shadow, observer);
      for (const auto& [name, at] : {std::pair{ContactName::c2, found.longest.from},
                                     std::pair{ContactName::c3, found.longest.until}}) {
        const BruteForce brute{moon, scene, smooth[name]};
        const double wanted = brute.change(at - 20 * second, at + 20 * second);
        // the strip's cells are a quarter of a degree wide and 10 m high: 0.02", at 0.3" a second and more
        CHECK(std::abs(at - wanted) < 0.1 * second);
        most_moved = std::max(most_moved, std::abs(smooth[name] - wanted));
      }
    }
  }
  CHECK(most_moved > 2 * second);
}
