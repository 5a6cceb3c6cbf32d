#include "lib/exposure/pick.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

#include "lib/exposure/scale.h"

namespace noonfall::exposure {
namespace {

constexpr double right_stops = 1.0 / 6;
constexpr double rounding_stops = 1e-9;

bool preferred(const Exposure& a, const Exposure& b) {
  if (a.shutter != b.shutter) return shorter(a.shutter, b.shutter);
  return std::tuple{a.iso.value, a.aperture->tenths} < std::tuple{b.iso.value, b.aperture->tenths};
}

template <class Visit>
void for_each_setting(std::span<const Shutter> shutters, std::span<const FNumber> apertures,
                      std::span<const Iso> isos, Brightness brightness, Visit visit) {
  for (const auto aperture : apertures) {
    for (const auto iso : isos) {
      const double ideal = std::log2(ideal_seconds(brightness, aperture, iso).value);
      for (const auto shutter : shutters) {
        visit(Pick{{shutter, aperture, iso}, {std::log2(exact_seconds(shutter)) - ideal}});
      }
    }
  }
}

}  // namespace

std::optional<Pick> pick_exposure(Brightness brightness, std::span<const Shutter> shutters,
                                  std::span<const FNumber> apertures, std::span<const Iso> isos) {
  double least_off = std::numeric_limits<double>::infinity();
  for_each_setting(shutters, apertures, isos, brightness,
                   [&](const Pick& pick) { least_off = std::min(least_off, std::abs(pick.off.value)); });
  const double tolerance = std::max(least_off, right_stops) + rounding_stops;
  std::optional<Pick> best;
  for_each_setting(shutters, apertures, isos, brightness, [&](const Pick& pick) {
    if (std::abs(pick.off.value) > tolerance) return;
    if (!best || preferred(pick.exposure, best->exposure)) best = pick;
  });
  return best;
}

}  // namespace noonfall::exposure
