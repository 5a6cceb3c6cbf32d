// What the frames of the corona will be worth when stacked.
#include <algorithm>

#include "lib/exposure/scale.h"
#include "lib/timeline/light.h"
#include "lib/timeline/rules.h"
#include "lib/timeline/settings.h"

namespace noonfall::timeline {
namespace {

using exposure::SubjectKind;
using ladder::Frames;

bool is_ladder_of_corona(const RigStep& step) {
  return step.subject.kind == SubjectKind::corona && step.subject.low_radii < step.subject.high_radii;
}

/// The f-number the light came through, the lens's own where the body can't set it.
std::optional<exposure::FNumber> aperture_of(const Given& given, const plan::Rig& rig, const RigStep& step) {
  const auto& exposure = step.shapes.front().exposures.front();
  if (exposure.aperture) return exposure.aperture;
  const auto& shooting = std::get<plan::Shooting>(given.plan.steps[step.plan_step].what);
  const auto choice = overlay(rig.exposure, shooting.exposure);
  return choice.aperture ? std::optional{choice.aperture->low} : std::nullopt;
}

void count_frames(const RigStep& step, std::vector<Frames>& frames) {
  const auto count = [&](std::size_t shape) {
    for (const auto& exposure : step.shapes[shape].exposures)
      frames.push_back({exposure.shutter, exposure.iso, 1});
  };
  for (const auto& target : step.targets) count(target.shape);
  if (!step.back_to_back) return;
  for (int set = 0; set < step.predicted_sets; ++set)
    count(static_cast<std::size_t>(set) % step.shapes.size());
}

/// Shutters that the rig may choose from.
std::vector<exposure::Shutter> allowed(const Given& given, const plan::Rig& rig, const RigTimeline& planned) {
  auto shutters = planned.profile.choices.shutters;
  const double longest = std::min(longest_on_mount(given, rig, {SubjectKind::corona, 1, 1}).value, 8.0);
  const auto shortest = shutters.front();
  std::erase_if(shutters, [&](auto shutter) { return exposure::exact_seconds(shutter) > longest * 1.001; });
  return shutters.empty() ? std::vector{shortest} : shutters;
}

std::optional<CoronaSignal> weigh(const Given& given, const plan::Rig& rig, const RigTimeline& planned) {
  std::vector<Frames> frames;
  std::vector<Frames> equal;
  std::optional<ladder::Optics> light;
  exposure::Subject heights{SubjectKind::corona, 20, 0};
  for (const auto& step : planned.steps) {
    if (!is_ladder_of_corona(step)) continue;
    const auto aperture = aperture_of(given, rig, step);
    if (!aperture) return {};
    heights.low_radii = std::min(heights.low_radii, step.subject.low_radii);
    heights.high_radii = std::max(heights.high_radii, step.subject.high_radii);
    light = ladder::Optics{ladder::sensor_of(planned.profile, pixel_of(rig)), *aperture,
                           light_at(given, step.subject, step.first_opening()).lost};
    count_frames(step, frames);
    const auto& first = step.shapes.front().exposures.front();
    const ladder::Task task{
        planned.profile,       *light, first.aperture, first.iso, step.subject, allowed(given, rig, planned),
        step.until - step.from};
    const auto plain = ladder::frames_in_time(task, ladder::equal_steps(task));
    equal.insert(equal.end(), plain.begin(), plain.end());
  }
  if (frames.empty()) return {};
  return CoronaSignal{*light, ladder::signals(*light, frames, heights),
                      ladder::signals(*light, equal, heights)};
}

}  // namespace

void weigh_corona(const Given& given, Timeline& timeline) {
  for (std::size_t r = 0; r < timeline.rigs.size(); ++r)
    timeline.rigs[r].corona = weigh(given, given.plan.rigs[r], timeline.rigs[r]);
}

}  // namespace noonfall::timeline
