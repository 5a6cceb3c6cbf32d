// Sets in time: how long they take on a body, brighter or darker, and how many fit.
#include <algorithm>
#include <cmath>

#include "lib/exposure/scale.h"
#include "lib/timeline/exposures.h"

namespace noonfall::timeline {
namespace {

exposure::Exposure trimmed(exposure::Exposure taken, const body::Choices& choices, Stops stops) {
  const auto wanted = exposure::exact_seconds(taken.shutter) * std::exp2(stops.value);
  const auto shutter = exposure::nearest(Seconds{wanted}, choices.shutters);
  if (!shutter) return taken;
  taken.shutter = shutter->value;
  if (shutter->matches()) return taken;
  const auto iso = exposure::exact_value(taken.iso) * wanted / exposure::exact_seconds(shutter->value);
  const exposure::Iso near{static_cast<std::int32_t>(std::lround(std::max(iso, 1.0)))};
  if (const auto found = exposure::nearest(near, choices.isos)) taken.iso = found->value;
  return taken;
}

}  // namespace

std::vector<SetShape> make_shapes(const body::Profile& profile, body::Drive drive, const ExposureSets& sets) {
  std::vector<SetShape> shapes;
  for (std::size_t i = 0; i < sets.size(); ++i) {
    const auto& following = sets[(i + 1) % sets.size()].front();
    auto predicted = body::predict_set(profile, drive, sets[i], &following);
    shapes.push_back({sets[i], std::move(predicted.offsets), predicted.lasts, predicted.cycle});
  }
  return shapes;
}

std::vector<SetShape> trimmed(const std::vector<SetShape>& shapes, const body::Profile& profile,
                              body::Drive drive, Stops stops) {
  ExposureSets sets;
  for (const auto& shape : shapes) {
    auto& set = sets.emplace_back();
    for (const auto& exposure : shape.exposures) set.push_back(trimmed(exposure, profile.choices, stops));
  }
  return make_shapes(profile, drive, sets);
}

body::Fit fit_sets(const RigTimeline& rig, const RigStep& step, Utc from, const body::Buffer& buffer) {
  ExposureSets turn;
  for (const auto& shape : step.shapes) turn.push_back(shape.exposures);
  return body::fit_sets(rig.profile, step.drive, rig.files, turn, from, step.until, buffer,
                        step.leave_free_frames);
}

}  // namespace noonfall::timeline
