#include "lib/draft/gear.h"

#include <algorithm>
#include <cmath>

#include "lib/draft/book.h"
#include "lib/exposure/brightness.h"
#include "lib/exposure/framing.h"
#include "lib/exposure/scale.h"
#include "lib/timeline/steps.h"

namespace noonfall::draft {
namespace {

using namespace std::chrono_literals;

constexpr exposure::Iso highest_iso{6400};

plan::Bracket bracket(int frames, double by) {
  return {plan::CentredBracket{frames, {by}}, plan::BracketOrder::short_first, {}};
}

}  // namespace

const body::Profile& profile_of(const Gear& gear) {
  return gear.body ? *gear.body : timeline::profile_by_hand();
}

std::optional<Duration> crossing_time(const Gear& gear) {
  if (gear.mount == plan::Mount::tracking || !gear.sensor) return {};
  const auto side = std::min(gear.sensor->width, gear.sensor->height);
  const double degrees = exposure::field_of_view(side, gear.focal_length).value - 0.54;
  return from_seconds(std::max(0.0, degrees) / 15 * 3600);
}

plan::Limits<exposure::Iso> iso_limits(const Gear& gear) {
  const auto& isos = profile_of(gear).choices.isos;
  const exposure::Iso base =
      gear.body && gear.body->sensor ? gear.body->sensor->base_iso : exposure::Iso{100};
  const auto low = exposure::nearest(base, isos)->value;
  return {low, exposure::nearest(exposure::Iso{std::max(highest_iso.value, low.value)}, isos)->value};
}

plan::ExposureChoice exposure_for(const Gear& gear, const exposure::Subject& subject, Stops to_shortest) {
  const auto& profile = profile_of(gear);
  const auto brightness = exposure::brightness_of(subject, gear.filter_density.value_or(0))->brightest;
  const auto iso = iso_limits(gear).low;
  const double shortest =
      exposure::exact_seconds(profile.choices.shutters.front()) * std::exp2(to_shortest.value);
  const auto fits = [&](exposure::FNumber aperture) {
    return exposure::ideal_seconds(brightness, aperture, iso).value * std::exp2(1.0 / 6) >= shortest;
  };
  plan::ExposureChoice choice;
  if (fits(gear.aperture)) return choice;
  const auto& apertures = profile.choices.apertures;
  const auto found = std::ranges::find_if(
      apertures, [&](auto aperture) { return aperture.tenths > gear.aperture.tenths && fits(aperture); });
  if (found != apertures.end()) {
    choice.aperture = {{*found, *found}};
    return choice;
  }
  const auto shutter = exposure::nearest(Seconds{shortest}, profile.choices.shutters)->value;
  choice.shutter = {{shutter, shutter}};
  choice.iso = {{iso, iso}};
  return choice;
}

Duration period_of_sets(const Gear& gear) {
  const auto crossing = crossing_time(gear);
  if (!crossing) return 5min;
  return std::clamp<Duration>(std::chrono::floor<std::chrono::minutes>(*crossing * 8 / 10), 4min, 10min);
}

plan::ExposureChoice earthshine_exposure(const Gear& gear) {
  const auto& choices = profile_of(gear).choices;
  const auto brightness = exposure::brightness_of({exposure::SubjectKind::earthshine}, 0)->middle();
  auto iso = choices.isos.back();
  for (const auto choice : choices.isos) {
    if (exposure::ideal_seconds(brightness, gear.aperture, choice).value > 4) continue;
    iso = choice;
    break;
  }
  const Seconds seconds{std::min(4.0, exposure::ideal_seconds(brightness, gear.aperture, iso).value)};
  const auto shutter = exposure::nearest(seconds, choices.shutters)->value;
  plan::ExposureChoice choice;
  choice.iso = {{iso, iso}};
  choice.shutter = {{shutter, shutter}};
  return choice;
}

plan::Step filtered(const Gear& gear, const plan::Instant& begins, const plan::Instant& ends,
                    Duration period) {
  auto step = shooting({exposure::SubjectKind::photosphere}, plan::Every{begins, ends, period});
  auto& what = std::get<plan::Shooting>(step.what);
  what.bracket = bracket(3, 1);
  what.exposure = exposure_for(gear, what.subject, {1});
  return step;
}

plan::Step unfiltered(const Gear& gear, exposure::SubjectKind kind, const Stretch& stretch, int frames,
                      double by) {
  auto step = shooting({kind}, plan::BackToBack{from(contacts::ContactName::c2, stretch.from),
                                                from(contacts::ContactName::c2, stretch.until)});
  auto& what = std::get<plan::Shooting>(step.what);
  if (frames > 1) what.bracket = bracket(frames, by);
  what.exposure = exposure_for(gear, what.subject, {by * (frames - 1) / 2});
  return step;
}

}  // namespace noonfall::draft
