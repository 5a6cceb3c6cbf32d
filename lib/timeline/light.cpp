#include "lib/timeline/light.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "lib/contacts/sky_track.h"
#include "lib/exposure/brightness.h"
#include "lib/exposure/framing.h"

namespace noonfall::timeline {
namespace {

using exposure::SubjectKind;

constexpr Seconds longest_without_shimmer{1.0 / 500};

double magnitudes_per_airmass(const plan::Plan& plan) {
  return plan.sky.extinction.value_or(exposure::clear_air_magnitudes_at(plan.site.elevation));
}

Stops in_thirds(double stops) {
  return {std::round(stops * 3) / 3};
}

}  // namespace

LightLoss light_at(const Given& given, const exposure::Subject& subject, Utc at) {
  const auto sun = contacts::sun_at(given.sky, at);
  if (!given.plan.sky.counted || !sun) return {};
  const double magnitudes = magnitudes_per_airmass(given.plan);
  const auto discs = contacts::discs_at(given.sky, at);
  const exposure::Crescent crescent{discs.moon_radius, discs.centre_distance};
  const double air = exposure::low_sun_stops(sun->apparent_altitude, magnitudes).value;
  const bool by_air = in_thirds(air).value > 0;
  if (subject.kind == SubjectKind::landscape)
    return {in_thirds(exposure::landscape_stops(sun->apparent_altitude, crescent, magnitudes).value), by_air};
  const bool filtered = subject.kind == SubjectKind::photosphere;
  return {in_thirds(air + (filtered ? exposure::crescent_stops(crescent).value : 0)), by_air};
}

std::optional<FilteredLight> filtered_light(const plan::Plan& plan, const plan::Rig& rig) {
  if (!rig.filter || !rig.sun_in_frame) return std::nullopt;
  const auto sun = exposure::brightness_of({SubjectKind::photosphere}, rig.filter->density);
  if (!sun) return std::nullopt;
  const auto& aperture = rig.exposure.aperture;
  return FilteredLight{sun->middle(), magnitudes_per_airmass(plan),
                       aperture ? std::optional{aperture->low} : std::nullopt};
}

std::optional<Micrometres> pixel_of(const plan::Rig& rig) {
  return rig.sensor ? std::optional{rig.sensor->pixel} : std::nullopt;
}

bool is_sun_low(const Given& given, Utc at) {
  const auto sun = contacts::sun_at(given.sky, at);
  return sun && sun->apparent_altitude < low_sun;
}

Seconds longest_on_mount(const Given& given, const plan::Rig& rig, const exposure::Subject& subject) {
  if (rig.mount == plan::Mount::tracking || subject.kind == SubjectKind::landscape)
    return {std::numeric_limits<double>::infinity()};
  if (!rig.sensor) return exposure::longest_untrailed_on_film(rig.focal_length);
  return exposure::longest_untrailed(rig.focal_length, rig.sensor->pixel, contacts::declination(given.sky));
}

Seconds longest_sharp(const Given& given, const plan::Rig& rig, const exposure::Subject& subject) {
  const auto on_mount = longest_on_mount(given, rig, subject);
  if (subject.kind != SubjectKind::photosphere) return on_mount;
  return std::min(on_mount, longest_without_shimmer);
}

}  // namespace noonfall::timeline
