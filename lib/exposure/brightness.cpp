#include "lib/exposure/brightness.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace noonfall::exposure {
namespace {

/// Intensity over the centre's, as a polynomial in mu, the cosine of the angle to the vertical on the Sun.
double limb_darkening(double mu) {
  constexpr std::array<double, 6> a{0.26073, 1.27428, -1.30352, 1.47085, -0.96618, 0.26384};
  double sum = 0;
  for (auto term = a.rbegin(); term != a.rend(); ++term) sum = sum * mu + *term;
  return sum;
}

/// How much of the circle of radius r about the Sun's centre the Moon leaves free, 0 to 2 pi.
double free_arc_rad(const Crescent& crescent, double r) {
  const double k = crescent.moon_radius;
  const double d = crescent.centre_distance;
  if (r >= k + d || d >= k + r) return 2 * pi;
  if (r + d <= k) return 0;
  return 2 * pi - 2 * std::acos(std::clamp((r * r + d * d - k * k) / (2 * r * d), -1.0, 1.0));
}

struct Visible {
  double light = 0;
  double area = 0;
};

/// By rings about the Sun's centre, from the innermost that shows.
Visible visible(const Crescent& crescent) {
  constexpr int rings = 500;
  const double inner_edge = std::clamp(crescent.moon_radius - crescent.centre_distance, 0.0, 1.0);
  const double mu_inner = std::sqrt(1 - inner_edge * inner_edge);
  Visible seen;
  for (int ring = 0; ring < rings; ++ring) {
    const double mu = mu_inner * (ring + 0.5) / rings;
    const double ring_area =
        mu * mu_inner * free_arc_rad(crescent, std::sqrt(1 - mu * mu));  // r dr = -mu dmu
    seen.light += ring_area * limb_darkening(mu);
    seen.area += ring_area;
  }
  return seen;
}

/// Of a level place under an uneclipsed Sun, in lux.
double daylight_lux(Degrees apparent_altitude, double magnitudes_per_airmass) {
  const double height = std::sin(radians(Degrees{std::clamp(apparent_altitude.value, 0.0, 90.0)}));
  const double through = std::exp2(-extinction(apparent_altitude, magnitudes_per_airmass).value);
  return 400 + 1.5e4 * height + 1.2e5 * height * through;
}

constexpr Subject corona_at(double radii) {
  return {SubjectKind::corona, radii, radii};
}

constexpr std::array<BrightnessRow, 13> rows{{
    {{SubjectKind::photosphere}, 4, {11}},
    {{SubjectKind::photosphere}, 5, {8}},
    {{SubjectKind::diamond_ring}, 0, {5}},  // note 3 of the table: the row of 0.2 radii
    {{SubjectKind::beads}, 0, {12}},
    {{SubjectKind::chromosphere}, 0, {11}},
    {{SubjectKind::prominences}, 0, {9}},
    {corona_at(0.1), 0, {7}},
    {corona_at(0.2), 0, {5}},
    {corona_at(0.5), 0, {3}},
    {corona_at(1), 0, {1}},
    {corona_at(2), 0, {0}},
    {corona_at(4), 0, {-1}},
    {corona_at(8), 0, {-3}},
}};

constexpr Brightness earthshine{-4};  // 1 to 4 s at f/8 ISO 400: common practice, no source

struct Found {
  Brightness brightness;
  Basis basis;
};

const double stops_per_density = std::log2(10.0);

/// The rows of one kind, which stand together in the table.
std::span<const BrightnessRow> rows_of(SubjectKind kind) {
  const auto is_kind = [kind](const BrightnessRow& row) { return row.subject.kind == kind; };
  const auto* first = std::find_if(rows.begin(), rows.end(), is_kind);
  return {first, std::find_if_not(first, rows.end(), is_kind)};
}

Found filtered_photosphere(double density) {
  const auto table = rows_of(SubjectKind::photosphere);
  const auto& thin = table.front();
  const auto& dense = table.back();
  if (density == thin.density || density == dense.density) {
    return {density == thin.density ? thin.brightness : dense.brightness, Basis::table_row};
  }
  if (density < thin.density || density > dense.density) {
    const auto& nearer = density < thin.density ? thin : dense;
    return {{nearer.brightness.q - stops_per_density * (density - nearer.density)}, Basis::beyond_rows};
  }
  const double share = (density - thin.density) / (dense.density - thin.density);
  return {{std::lerp(thin.brightness.q, dense.brightness.q, share)}, Basis::between_rows};
}

double on_line(const BrightnessRow& a, const BrightnessRow& b, double radii) {
  const double share =
      std::log(radii / a.subject.low_radii) / std::log(b.subject.low_radii / a.subject.low_radii);
  return std::lerp(a.brightness.q, b.brightness.q, share);
}

Found corona(double radii) {
  const auto table = rows_of(SubjectKind::corona);
  if (radii < table.front().subject.low_radii)
    return {{on_line(table[0], table[1], radii)}, Basis::beyond_rows};
  // Past the last row the sky outshines the corona, so a longer exposure gains nothing.
  if (radii > table.back().subject.low_radii) return {table.back().brightness, Basis::beyond_rows};
  const auto row = std::find_if(table.begin(), table.end(),
                                [&](const BrightnessRow& each) { return each.subject.low_radii >= radii; });
  if (row->subject.low_radii == radii) return {row->brightness, Basis::table_row};
  return {{on_line(*(row - 1), *row, radii)}, Basis::between_rows};
}

}  // namespace

double mean_intensity(const Crescent& crescent) {
  const auto seen = visible(crescent);
  return seen.area > 0 ? seen.light / seen.area : 0;
}

double light_left(const Crescent& crescent) {
  return visible(crescent).light / visible({1, 10}).light;
}

Stops crescent_stops(const Crescent& crescent) {
  const double visible = mean_intensity(crescent);
  if (visible <= 0) return {0};
  const double whole = mean_intensity({1, 10});
  return {std::clamp(std::log2(whole / visible), 0.0, 2.0)};
}

double corona_of_centre(double radii) {
  return 1e-6 * (2.565 * std::pow(radii, -17) + 1.425 * std::pow(radii, -7) + 0.0532 * std::pow(radii, -2.5));
}

double airmass(Degrees apparent_altitude) {
  const Degrees altitude{std::clamp(apparent_altitude.value, 0.0, 90.0)};
  const double zenith_angle_deg = 90 - altitude.value;
  return 1 / (std::sin(radians(altitude)) + 0.50572 * std::pow(96.07995 - zenith_angle_deg, -1.6364));
}

Stops extinction(Degrees apparent_altitude, double magnitudes_per_airmass) {
  return {magnitudes_per_airmass * airmass(apparent_altitude) * stops_per_magnitude};
}

double clear_air_magnitudes_at(Metres elevation) {
  constexpr double ozone = 0.016;
  constexpr double molecules = 0.107;
  constexpr double dust = clear_air_magnitudes - ozone - molecules;
  return ozone + molecules * std::exp(-elevation.value / 8000) + dust * std::exp(-elevation.value / 1500);
}

Stops landscape_stops(Degrees apparent_altitude, const Crescent& crescent, double magnitudes_per_airmass) {
  constexpr double from_outside_lux = 10;
  const double now = daylight_lux(apparent_altitude, magnitudes_per_airmass) * light_left(crescent);
  const double high = daylight_lux(tried_out_at, magnitudes_per_airmass);
  return {std::max(0.0, std::log2(high / (now + from_outside_lux)))};
}

Stops low_sun_stops(Degrees apparent_altitude, double magnitudes_per_airmass) {
  const double more = extinction(apparent_altitude, magnitudes_per_airmass).value -
                      extinction(tried_out_at, magnitudes_per_airmass).value;
  return {std::max(0.0, more)};
}

const BrightnessTable& published_brightness() {
  static constexpr BrightnessTable table{
      "1997", "Espenak & Anderson, Total Solar Eclipse of 1997 March 9, NASA RP 1369 (1995), Table 16", rows};
  return table;
}

std::string_view to_text(Basis basis) {
  switch (basis) {
    case Basis::table_row:
      return "table";
    case Basis::between_rows:
      return "between table rows";
    case Basis::beyond_rows:
      return "beyond the table";
    case Basis::common_practice:
      break;
  }
  return "common practice, no source";
}

std::optional<BrightnessRange> brightness_of(const Subject& subject, double density) {
  switch (subject.kind) {
    case SubjectKind::photosphere: {
      const auto found = filtered_photosphere(density);
      return BrightnessRange{found.brightness, found.brightness, found.basis};
    }
    case SubjectKind::corona: {
      const auto low = corona(subject.low_radii);
      const auto high = corona(subject.high_radii);
      return BrightnessRange{low.brightness, high.brightness, std::max(low.basis, high.basis)};
    }
    case SubjectKind::earthshine:
      return BrightnessRange{earthshine, earthshine, Basis::common_practice};
    case SubjectKind::landscape:
      return std::nullopt;
    default: {
      const auto& row = rows_of(subject.kind).front();
      return BrightnessRange{row.brightness, row.brightness, Basis::table_row};
    }
  }
}

Seconds ideal_seconds(Brightness brightness, FNumber aperture, Iso iso) {
  const double n = exact_value(aperture);
  return {n * n / (exact_value(iso) * std::exp2(brightness.q))};
}

}  // namespace noonfall::exposure
