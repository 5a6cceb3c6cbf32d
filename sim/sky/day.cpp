#include "sim/sky/day.h"

#include <algorithm>
#include <cmath>

#include "lib/json/encodings.h"

namespace noonfall::sim {

void fields(auto& io, json::Like<Aim> auto& it) {
  io("from_us", it.from, json::us);
  io("centred_us", it.centred, json::us);
}

void fields(auto& io, json::Like<Day> auto& it) {
  io("eclipse", it.eclipse);
  io("latitude", it.site.latitude.value, json::Number{-90, 90});
  io("longitude", it.site.longitude.value, json::Number{-180, 180});
  io("ellipsoidal_height_m", it.site.height.value, json::Number{-1000, 10'000});
  io("moved_us", it.moved, json::us);
  io("field_width_deg", it.width.value, json::Number{0.01, 170});
  io("field_height_deg", it.height.value, json::Number{0.01, 170});
  io("density", it.density, json::Number{0, 20});
  io("magnitudes_per_airmass", it.magnitudes_per_airmass, json::Number{0, 10});
  io("aims", it.aims);
}

namespace {

constexpr int thumbnail_width = 160;
constexpr double film_mm = 36;  // any width gives the same picture

const contacts::Elements& elements_of(const Day& day) {
  const auto table = contacts::built_in_elements();
  const auto* known = contacts::find_elements(table, day.eclipse);
  return known != nullptr ? *known : table.front();
}

Scene scene_of(const Day& day) {
  const auto& elements = elements_of(day);
  const auto& leaps = built_in_leap_seconds();
  return {elements, contacts::settings_for(leaps, to_utc(elements.greatest(), leaps), std::nullopt), day.site,
          nullptr};
}

Imager imager_of(const Day& day) {
  const double half_width = std::tan(radians(day.width) / 2);
  Imager imager;
  imager.sensor_width = Millimetres{film_mm};
  imager.focal_length = Millimetres{film_mm / (2 * half_width)};
  imager.mount = day.aims.empty() ? plan::Mount::tracking : plan::Mount::fixed;
  imager.width = thumbnail_width;
  imager.height = std::clamp(
      static_cast<int>(std::lround(thumbnail_width * std::tan(radians(day.height) / 2) / half_width)), 1,
      1000);
  return imager;
}

}  // namespace

std::string to_text(const Day& day) {
  return json::to_line(json::written(day));
}

Result<Day> parse_day(std::string_view text) {
  return json::read<Day>(text, {.code = "bad-day"});
}

Sketcher::Sketcher(Day day) : day_{std::move(day)}, scene_{scene_of(day_)}, imager_{imager_of(day_)} {}

SmallPicture Sketcher::picture(Utc opened, Utc closed, const exposure::Exposure& exposure) const {
  auto centred = day_.aims.empty() ? opened : day_.aims.front().centred;
  for (const auto& aim : day_.aims)
    if (aim.from <= opened) centred = aim.centred;
  Shooting shooting{opened - day_.moved, closed - day_.moved, exposure, day_.density,
                    scene_.at(centred - day_.moved)};
  shooting.seed = static_cast<std::uint64_t>(opened.time_since_epoch().count());
  shooting.magnitudes_per_airmass = day_.magnitudes_per_airmass;
  const auto shown = exposed(radiance(scene_, corona_, imager_, shooting), imager_, shooting);
  return {shown.width, shown.height, to_srgb(shown)};
}

}  // namespace noonfall::sim
