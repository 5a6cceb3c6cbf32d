#include "lib/timeline/step_text.h"

#include <fmt/format.h>

#include "lib/timeline/relative_text.h"

namespace noonfall::timeline {
namespace {

/// What follows the shutter time: "f/8 ISO 400".
std::string lens_and_iso(const exposure::Exposure& exposure) {
  const auto iso = exposure::to_text(exposure.iso);
  return exposure.aperture ? exposure::to_text(*exposure.aperture) + " " + iso : iso;
}

std::string shapes_text(const RigStep& step) {
  if (step.shapes.size() == 1) return set_text(step.shapes.front());
  std::vector<std::string> texts;
  for (const auto& shape : step.shapes) texts.push_back(set_text(shape));
  return fmt::format("in turn {}", fmt::join(texts, "; "));
}

std::string pace_text(const RigStep& step, const contacts::Circumstances& sky) {
  const auto until = relative_text(step.until, sky);
  if (step.back_to_back && step.drive == body::Drive::continuous)
    return fmt::format(", continuous drive until {}, about {} frames", until, step.predicted_frames());
  if (step.back_to_back) {
    const auto sets = step.predicted_sets == 1 ? "1 set" : fmt::format("{} sets", step.predicted_sets);
    return fmt::format(", back to back until {}, about {}", until, sets);
  }
  if (step.targets.size() < 2) return step.drive == body::Drive::continuous ? ", continuous drive" : "";
  return fmt::format(", every {}, {} sets, the last at {}",
                     rounded_text(step.targets[1].due - step.targets[0].due), step.targets.size(),
                     relative_text(step.targets.back().due, sky));
}

}  // namespace

std::string set_text(const SetShape& shape) {
  const auto& frames = shape.exposures;
  if (frames.size() == 1) return exposure::to_text(frames.front());
  const bool there_and_back = frames.size() > 2 && frames.front() == frames.back();
  const auto& far = there_and_back ? frames[frames.size() / 2] : frames.back();
  return fmt::format("{} frames {} to {}{} {}", frames.size(), exposure::to_text(frames.front().shutter),
                     exposure::to_text(far.shutter), there_and_back ? " and back" : "", lens_and_iso(far));
}

std::string step_text(const RigStep& step, const contacts::Circumstances& sky) {
  return fmt::format("{}: {}{}", step.name, shapes_text(step), pace_text(step, sky));
}

}  // namespace noonfall::timeline
