// Rigs without a solar filter: which may see the Sun, and when.
#include <optional>

#include <fmt/format.h>

#include "lib/timeline/rules.h"
#include "lib/timeline/settings.h"
#include "lib/timeline/steps.h"

namespace noonfall::timeline {
namespace {

using contacts::ContactName;

constexpr Millimetres longest_bare_lens{35};
constexpr exposure::FNumber widest_bare_aperture{80};

bool in_certain_totality(const Given& given, const RigStep& step) {
  if (given.sky.kind != contacts::Kind::total) return false;
  const auto& c2 = *given.sky.at(ContactName::c2);
  const auto& c3 = *given.sky.at(ContactName::c3);
  const auto bound = given.assumptions.clock_bound;
  return step.from >= c2.utc + c2.uncertainty + bound && step.until <= c3.utc - c3.uncertainty - bound;
}

bool stopped_down(exposure::FNumber aperture) {
  return aperture.tenths >= widest_bare_aperture.tenths;
}

/// The widest f-number of a lens the body can't set is the plan's word.
std::optional<exposure::FNumber> named_aperture(const plan::Rig& rig, const plan::Shooting& shooting) {
  const auto choice = overlay(rig.exposure, shooting.exposure);
  if (!choice.aperture) return {};
  return choice.aperture->low;
}

/// In words, the first f-number of the step that is too wide open; empty when all are stopped down.
std::string too_wide(const Given& given, const plan::Rig& rig, const RigStep& step) {
  const auto& shooting = std::get<plan::Shooting>(given.plan.steps[step.plan_step].what);
  for (const auto& shape : step.shapes) {
    for (const auto& exposure : shape.exposures) {
      const auto aperture = exposure.aperture ? exposure.aperture : named_aperture(rig, shooting);
      if (!aperture) return "an unknown f-number";
      if (!stopped_down(*aperture)) return exposure::to_text(*aperture);
    }
  }
  return {};
}

std::optional<Diagnostic> check_step(const Given& given, const plan::Rig& rig, const RigStep& step) {
  if (in_certain_totality(given, step)) return {};
  const auto aperture = too_wide(given, rig, step);
  if (aperture.empty()) return {};
  return error_at(step.mark, "no-filter-wide-aperture",
                  fmt::format("\"{}\" is taken on {} without a filter outside totality at {}", step.name,
                              rig.name, aperture),
                  "aperture: f/8 or smaller, or a span inside totality");
}

Diagnostic lens_too_long(const plan::Rig& rig) {
  return error_at(rig.filter_mark, "no-filter-long-lens",
                  fmt::format("{} has no filter and a lens of {} mm", rig.name, rig.focal_length.value),
                  "a filter, or a lens of 35 mm or shorter");
}

/// Whoever says that the Sun is never in the frame has nothing to shoot of it.
void check_subjects(const Given& given, const plan::Rig& rig, Diagnostics& findings) {
  for (const auto& step : given.plan.steps) {
    const auto* shooting = std::get_if<plan::Shooting>(&step.what);
    if (shooting == nullptr || !is_for(step, rig.name)) continue;
    if (shooting->subject.kind == exposure::SubjectKind::landscape) continue;
    findings.push_back(
        error_at(step.mark, "sun-in-frame",
                 fmt::format("\"{}\" shoots the {} on {}, which has no filter and never the Sun in its frame",
                             step.name, exposure::to_text(shooting->subject), rig.name),
                 "subject: landscape, or a rig with a filter"));
  }
}

}  // namespace

Objections check_bare_lenses(const Given& given, const Timeline& timeline, Diagnostics& findings) {
  for (std::size_t r = 0; r < timeline.rigs.size(); ++r) {
    const auto& rig = given.plan.rigs[r];
    if (rig.filter) continue;
    if (!rig.sun_in_frame) check_subjects(given, rig, findings);
    if (rig.focal_length > longest_bare_lens) findings.push_back(lens_too_long(rig));
  }
  return object_to_steps(timeline, [&](std::size_t r, const RigStep& step) {
    const auto& rig = given.plan.rigs[r];
    return rig.filter || !rig.sun_in_frame ? std::nullopt : check_step(given, rig, step);
  });
}

}  // namespace noonfall::timeline
