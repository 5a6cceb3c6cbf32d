// What can be shot as written but may disappoint: low Sun, trailing, shimmer.
#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "lib/body/model.h"
#include "lib/exposure/brightness.h"
#include "lib/exposure/scale.h"
#include "lib/timeline/light.h"
#include "lib/timeline/relative_text.h"
#include "lib/timeline/rules.h"

namespace noonfall::timeline {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;

constexpr Duration most_readout = 50ms;  // a fifth of the shortest life of a bead that is listed
constexpr Millimetres long_lens{200};
constexpr auto* another_shutter =
    "another of the body's shutter types, the first of `shutter_types` in its profile";
constexpr exposure::Shutter slowest_without_shimmer{1, 250};  // common practice, no source

/// Of the instants that matter, the one with the lowest Sun.
ContactName lowest_sun(const contacts::Circumstances& sky) {
  if (sky.kind != contacts::Kind::total) return ContactName::mid;
  const bool setting = sky.at(ContactName::c3)->altitude < sky.at(ContactName::c2)->altitude;
  return setting ? ContactName::c3 : ContactName::c2;
}

void advise_on_altitude(const Given& given, Diagnostics& warnings) {
  const auto name = lowest_sun(given.sky);
  const auto& contact = given.sky.at(name);
  if (!contact || contact->apparent_altitude >= low_sun) return;
  const auto mark = given.plan.site.mark;
  const double altitude = contact->apparent_altitude.value;
  if (altitude < 0) {
    warnings.push_back(warning_at(
        mark, "low-sun-below-horizon",
        fmt::format("the Sun stands {:.1f}° below the horizon at {}", -altitude, contacts::to_text(name))));
    return;
  }
  const auto lost = exposure::low_sun_stops(contact->apparent_altitude);
  warnings.push_back(warning_at(
      mark, "low-sun",
      fmt::format("the Sun stands {:.1f}° high at {}: clear air takes about {:.1f} stops more than with a "
                  "high Sun",
                  altitude, contacts::to_text(name), lost.value),
      "a clear view to the horizon; exposures that noonfall computes allow for the air"));
}

exposure::Shutter longest_shutter(const RigStep& step) {
  auto longest = step.shapes.front().exposures.front().shutter;
  for (const auto& shape : step.shapes) {
    for (const auto& frame : shape.exposures)
      if (exposure::shorter(longest, frame.shutter)) longest = frame.shutter;
  }
  return longest;
}

/// What a low Sun makes of it: the longer exposures are its.
std::string laid_to_low_sun(const Given& given, const RigStep& step, const char* code) {
  const bool low = is_sun_low(given, step.first_opening()) || is_sun_low(given, step.last_closing());
  return (low ? "low-sun-" : "") + std::string{code};
}

void advise_on_trailing(const Given& given, const plan::Rig& rig, const RigStep& step,
                        Diagnostics& warnings) {
  const auto& name = given.plan.steps[step.plan_step].name;
  const auto longest = longest_shutter(step);
  const double seconds = exposure::exact_seconds(longest);
  const double limit = longest_on_mount(given, rig, step.subject).value;
  if (seconds <= limit) return;
  const auto trail = rig.sensor ? fmt::format("trails by {:.1f} pixels", seconds / limit)
                                : fmt::format("is longer than 340 s / {:g}", rig.focal_length.value);
  warnings.push_back(
      warning_at(step.mark, laid_to_low_sun(given, step, "trailing"),
                 fmt::format("\"{}\": {} at {:g} mm on the fixed mount of {} {}", name,
                             exposure::to_text(longest), rig.focal_length.value, rig.name, trail),
                 fmt::format("at most {:.2g} s, or a tracking mount", limit)));
}

void advise_on_shimmer(const Given& given, const plan::Rig& rig, const RigStep& step, Diagnostics& warnings) {
  const auto& name = given.plan.steps[step.plan_step].name;
  if (!step.filtered) return;
  const auto longest = longest_shutter(step);
  if (!exposure::shorter(slowest_without_shimmer, longest)) return;
  warnings.push_back(
      warning_at(step.mark, laid_to_low_sun(given, step, "shimmer"),
                 fmt::format("\"{}\": {} on {} is slow for the filtered Sun, whose edge shimmers by day "
                             "(common practice, no source)",
                             name, exposure::to_text(longest), rig.name),
                 "1/250 or shorter, at a higher ISO"));
}

bool changes_fast(exposure::SubjectKind subject) {
  using exposure::SubjectKind;
  return subject == SubjectKind::beads || subject == SubjectKind::diamond_ring ||
         subject == SubjectKind::chromosphere;
}

bool is_shaken(const RigStep& step) {
  return std::ranges::any_of(step.shapes, [](const SetShape& shape) {
    return std::ranges::any_of(shape.exposures, [](const exposure::Exposure& frame) {
      return !exposure::shorter(frame.shutter, {1, 125}) && !exposure::shorter({1, 4}, frame.shutter);
    });
  });
}

/// An electronic shutter exposes the rows of its sensor one after the other.
void advise_on_readout(const plan::Rig& rig, const RigTimeline& planned, const RigStep& step,
                       Diagnostics& warnings) {
  const auto& profile = planned.profile;
  const bool rolls = !profile.shutter_types.empty() &&
                     profile.shutter_types.front() == body::ShutterType::electronic &&
                     profile.rolling_readout > Duration{};
  if (!rolls || !planned.framing) return;
  const auto over_sun = readout_over_sun(profile, *planned.framing);
  const double trail = planned.framing->untrailed && rig.mount == plan::Mount::fixed
                           ? in_seconds(over_sun) / planned.framing->untrailed->value
                           : 0;
  const bool skewed = trail > 1;
  if (!skewed && !(changes_fast(step.subject.kind) && over_sun > most_readout)) return;
  warnings.push_back(warning_at(
      step.mark, "rolling-readout",
      fmt::format("\"{}\": the electronic shutter of {} takes {} from the top of the Sun to its bottom, {}",
                  step.name, planned.name, rounded_text(over_sun),
                  skewed ? fmt::format("in which it drifts by {:.1f} pixels", trail)
                         : fmt::format("long for {}", exposure::to_text(step.subject))),
      another_shutter));
}

/// The mechanical one's blow, at times neither too short for it to reach the sensor nor too long for it to
/// matter; common practice, no source, as are the bounds.
void advise_on_shake(const plan::Rig& rig, const RigTimeline& planned, Diagnostics& warnings) {
  const auto& types = planned.profile.shutter_types;
  const bool blows = !types.empty() && types.front() == body::ShutterType::mechanical;
  if (!blows || planned.by_hand || !planned.framing || rig.focal_length < long_lens) return;
  const RigStep* first = nullptr;
  std::set<std::size_t> shaken;
  for (const auto& step : planned.steps) {
    if (!is_shaken(step)) continue;
    if (first == nullptr) first = &step;
    shaken.insert(step.plan_step);
  }
  if (first == nullptr) return;
  const auto others = shaken.size() == 1 ? std::string{}
                                         : fmt::format(" and {} step{} more", shaken.size() - 1,
                                                       shaken.size() == 2 ? "" : "s");
  warnings.push_back(warning_at(
      first->mark, "shutter-shake",
      fmt::format(
          "\"{}\"{}: the blow of the mechanical shutter of {} shakes a lens of {:g} mm at 1/125 to 1/4 s "
          "(common practice, no source)",
          first->name, others, planned.name, rig.focal_length.value),
      another_shutter));
}

}  // namespace

void advise(const Given& given, const Timeline& timeline, Diagnostics& warnings) {
  advise_on_altitude(given, warnings);
  for (std::size_t l = 0; l < timeline.rigs.size(); ++l) {
    advise_on_shake(given.plan.rigs[l], timeline.rigs[l], warnings);
    std::set<std::size_t> said;  // the parts of one step at several instants have the same exposures
    for (const auto& step : timeline.rigs[l].steps) {
      if (!said.insert(step.plan_step).second) continue;
      advise_on_trailing(given, given.plan.rigs[l], step, warnings);
      advise_on_shimmer(given, given.plan.rigs[l], step, warnings);
      advise_on_readout(given.plan.rigs[l], timeline.rigs[l], step, warnings);
    }
  }
}

}  // namespace noonfall::timeline
