// What can be shot as written but is hardly meant: exposures far from their subject, totality left unused,
// one body on two rigs, spans shorter than their contact is uncertain.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include <fmt/format.h>

#include "lib/contacts/sky_track.h"
#include "lib/exposure/brightness.h"
#include "lib/exposure/framing.h"
#include "lib/exposure/scale.h"
#include "lib/timeline/light.h"
#include "lib/timeline/relative_text.h"
#include "lib/timeline/rules.h"
#include "lib/timeline/settings.h"

namespace noonfall::timeline {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;
using exposure::SubjectKind;

constexpr double far_off_stops = 3;
constexpr double short_of_stops = 1.5;
constexpr Duration unused_for = 5s;

/// Of the frames of one turn, in stops over what the table has for the brightest and for the faintest part.
struct Reach {
  double over_brightest;  // the shortest frame: above zero it is too bright
  double over_faintest;   // the longest frame: below zero it is too dark
};

class ExposureDoubts {
 public:
  ExposureDoubts(const Given& given, const plan::Rig& rig, Diagnostics& warnings)
      : given_{given}, rig_{rig}, warnings_{warnings} {}

  void look_at(const RigStep& step) const {
    const auto& shooting = std::get<plan::Shooting>(given_.plan.steps[step.plan_step].what);
    const auto choice = overlay(rig_.exposure, shooting.exposure);
    const bool chosen_here = !shooting.bracket && shooting.sets.empty() &&
                             (!choice.shutter || choice.shutter->low != choice.shutter->high);
    if (chosen_here) return;
    const auto reach = reach_of(step, shooting);
    if (!reach) return;
    const double off =
        reach->over_brightest > 0 ? reach->over_brightest : std::min(0.0, reach->over_faintest);
    if (std::abs(off) > far_off_stops) return warn_far_off(step, off);
    if (step.subject.low_radii >= step.subject.high_radii) return;
    if (reach->over_brightest > short_of_stops)
      warn_short(step, reach->over_brightest, "shortest", "brightest");
    if (reach->over_faintest < -short_of_stops)
      warn_short(step, -reach->over_faintest, "longest", "faintest");
  }

 private:
  [[nodiscard]] std::optional<Reach> reach_of(const RigStep& step, const plan::Shooting& shooting) const {
    const auto range = exposure::brightness_of(step.subject, rig_.filter ? rig_.filter->density : 0);
    if (!range) return {};
    const double lost = light_at(given_, step.subject, step.first_opening()).lost.value;
    const auto choice = overlay(rig_.exposure, shooting.exposure);
    std::optional<Reach> reach;
    for (std::size_t n = 0; n < std::min(step.in_turn, step.shapes.size()); ++n) {
      for (const auto& exposure : step.shapes[n].exposures) {
        const auto aperture = exposure.aperture ? exposure.aperture
                              : choice.aperture ? std::optional{choice.aperture->low}
                                                : std::nullopt;
        if (!aperture) return {};
        const double seconds = exposure::exact_seconds(exposure.shutter);
        const auto over = [&](exposure::Brightness brightness) {
          return std::log2(seconds /
                           exposure::ideal_seconds({brightness.q - lost}, *aperture, exposure.iso).value);
        };
        const Reach one{over(range->brightest), over(range->faintest)};
        if (!reach) reach = one;
        reach->over_brightest = std::min(reach->over_brightest, one.over_brightest);
        reach->over_faintest = std::max(reach->over_faintest, one.over_faintest);
      }
    }
    return reach;
  }

  void warn_far_off(const RigStep& step, double off) const {
    const auto& frames = step.shapes.front().exposures;
    const auto& nearest = off > 0 ? frames.front() : frames.back();
    auto wanted = nearest;
    const Seconds seconds{exposure::exact_seconds(nearest.shutter) / std::exp2(off)};
    wanted.shutter = exposure::nearest(seconds, exposure::third_stop_shutters())->value;
    const char* code =
        is_sun_low(given_, step.first_opening()) && off < 0 ? "low-sun-exposure-far-off" : "exposure-far-off";
    warnings_.push_back(warning_at(
        step.mark, code,
        fmt::format("\"{}\": {} on {} is {:.1f} stops too {} for {}, which the table gives {}", step.name,
                    exposure::to_text(nearest), rig_.name, std::abs(off), off > 0 ? "bright" : "dark",
                    exposure::to_text(step.subject), exposure::to_text(wanted)),
        fmt::format("exposure: {{shutter: {}}}, or the subject that is meant",
                    exposure::to_text(wanted.shutter))));
  }

  void warn_short(const RigStep& step, double by, const char* frame, const char* part) const {
    warnings_.push_back(
        warning_at(step.mark, "bracket-short",
                   fmt::format("\"{}\": the {} frame on {} is {:.1f} stops from what the {} part of {} wants",
                               step.name, frame, rig_.name, by, part, exposure::to_text(step.subject)),
                   "a wider bracket, or none: noonfall chooses the exposures then"));
  }

  const Given& given_;
  const plan::Rig& rig_;
  Diagnostics& warnings_;
};

/// Of a span, while hands are at the rig.
Duration in_hands(const Timeline& timeline, std::size_t rig, Utc from, Utc until) {
  Duration held{};
  for (const auto& span : timeline.hands_on)
    if (span.rig == rig)
      held += std::max(Duration{}, std::min(until, span.until) - std::max(from, span.from));
  return held;
}

/// Times of totality without a step or a hand at it, on a rig that goes through totality rather than to
/// instants in it.
void doubt_gaps(const Given& given, const Timeline& timeline, std::size_t r, Diagnostics& warnings) {
  const auto& rig = timeline.rigs[r];
  const bool through =
      std::ranges::any_of(rig.steps, [](const RigStep& step) { return !step.filtered && step.back_to_back; });
  if (!rig.window || rig.by_hand || !through) return;
  const auto end = given.sky.at(ContactName::c3)->utc;
  auto covered = given.sky.at(ContactName::c2)->utc;
  std::vector<contacts::TimeSpan> gaps;
  const RigStep* next = nullptr;  // after the longest
  const auto look_at = [&](Utc until, const RigStep& step) {
    const auto gap = std::min(until, end) - covered;
    if (gap - in_hands(timeline, r, covered, until) <= unused_for) return;
    if (std::ranges::all_of(gaps, [&](const auto& other) { return other.until - other.from < gap; }))
      next = &step;
    gaps.push_back({covered, covered + gap});
  };
  for (const auto& step : rig.steps) {
    look_at(step.first_opening(), step);
    covered = std::max(covered, step.last_closing());
  }
  look_at(end, rig.steps.back());
  if (gaps.empty()) return;
  const auto longest =
      *std::ranges::max_element(gaps, {}, [](const auto& gap) { return gap.until - gap.from; });
  Duration unused{};
  for (const auto& gap : gaps) unused += gap.until - gap.from;
  warnings.push_back(
      warning_at(next->mark, "totality-unused",
                 fmt::format("{} takes no frames for {} of totality, at the longest from {} to {}", rig.name,
                             rounded_text(unused), relative_text(longest.from, given.sky),
                             relative_text(longest.until, given.sky)),
                 "steps that follow one another within 5 s, or longer ones"));
}

/// Beads that show before the step begins at C2, or after it ends at C3.
void doubt_reach(const Given& given, const RigStep& step, ContactName name, Diagnostics& warnings) {
  const bool first = name == ContactName::c2;
  const auto& contact = given.sky.at(name)->utc;
  const auto beads = first ? given.assumptions.beads_before_c2 : given.assumptions.beads_after_c3;
  const auto reach = first ? contact - step.from : step.until - contact;
  if (beads <= reach) return;
  warnings.push_back(warning_at(
      step.mark, "beads-missed",
      fmt::format("\"{}\" {} {} {} {}, and by the Moon's edge the {} five beads {} {}", step.name,
                  first ? "begins" : "ends", rounded_text(reach), first ? "before" : "after",
                  contacts::to_text(name), first ? "last" : "first", first ? "go out from" : "light up until",
                  relative_text(first ? contact - beads : contact + beads, given.sky)),
      fmt::format("{}: {}", first ? "from" : "until",
                  relative_text(first ? contact - beads : contact + beads, given.sky,
                                first ? Rounding::earlier : Rounding::later))));
}

/// Beads and the flash of the chromosphere are tied to a contact: a span within its uncertainty may miss
/// them.
void doubt_margins(const Given& given, const RigStep& step, Diagnostics& warnings) {
  const bool of_contact =
      step.subject.kind == SubjectKind::beads || step.subject.kind == SubjectKind::diamond_ring;
  if (!of_contact || given.sky.kind != contacts::Kind::total) return;
  for (const auto name : {ContactName::c2, ContactName::c3}) {
    const auto& contact = *given.sky.at(name);
    const bool about =
        step.subject.kind == SubjectKind::beads && step.from <= contact.utc && contact.utc <= step.until;
    if (!about) continue;
    doubt_reach(given, step, name, warnings);
    const auto least = std::min(contact.utc - step.from, step.until - contact.utc);
    if (least >= contact.uncertainty) continue;
    warnings.push_back(warning_at(
        step.mark, "uncertain-contact",
        fmt::format("\"{}\" goes on for {} before and {} after {}, which is known to {} only", step.name,
                    rounded_text(contact.utc - step.from), rounded_text(step.until - contact.utc),
                    contacts::to_text(name), rounded_text(contact.uncertainty)),
        "a longer span, or lunar heights, with which the contact is known better"));
  }
}

/// Frames of the Sun while it is down, or behind what the site's `horizon` stands for.
void doubt_horizon(const Given& given, const RigTimeline& rig, Diagnostics& warnings) {
  const Degrees horizon = given.plan.site.horizon.value_or(Degrees{0});
  for (const auto& step : rig.steps) {
    if (step.subject.kind == SubjectKind::landscape) continue;
    for (const auto at : {step.first_opening(), step.last_closing()}) {
      const auto sun = contacts::sun_at(given.sky, at);
      if (!sun || sun->apparent_altitude >= horizon) continue;
      warnings.push_back(warning_at(
          step.mark, "frame-below-horizon",
          fmt::format("\"{}\": at {} the Sun stands at {:.1f}°, and the horizon at {:.1f}°", step.name,
                      relative_text(at, given.sky), sun->apparent_altitude.value, horizon.value),
          "frames while the Sun is up; `noonfall draft` keeps to them"));
      break;
    }
  }
}

void doubt_sizes(const Given& given, Diagnostics& warnings) {
  for (const auto& rig : given.plan.rigs) {
    if (!rig.sensor || !rig.filter) continue;
    const auto side = std::min(rig.sensor->width, rig.sensor->height);
    const auto image = exposure::sun_image(rig.focal_length);
    if (image <= side) continue;
    warnings.push_back(warning_at(
        rig.mark, "sun-too-large",
        fmt::format("at {:g} mm the Sun's image is {:.1f} mm large, and the sensor of {} {:.1f} mm",
                    rig.focal_length.value, image.value, rig.name, side.value),
        fmt::format("a focal length of at most {:.0f} mm", side.value * 107)));
  }
}

void doubt_bodies(const Given& given, Diagnostics& warnings) {
  std::map<std::string, std::string> rig_of;
  for (const auto& rig : given.plan.rigs) {
    const auto* cabled = std::get_if<plan::CabledBody>(&rig.body);
    if (cabled == nullptr) continue;
    const auto [first, fresh] = rig_of.emplace(cabled->serial, rig.name);
    if (fresh) continue;
    warnings.push_back(
        error_at(rig.body_mark, "one-body-two-rigs",
                 fmt::format("the body {} of {} is that of {} too", cabled->serial, rig.name, first->second),
                 "a serial number of its own for each rig"));
  }
  for (const auto& rig : given.plan.rigs) {
    const auto* cabled = std::get_if<plan::CabledBody>(&rig.body);
    if (cabled == nullptr || cabled->spare.empty()) continue;
    const auto [first, fresh] = rig_of.emplace(cabled->spare, rig.name);
    if (fresh) continue;
    warnings.push_back(error_at(rig.body_mark, "spare-not-free",
                                fmt::format("the spare {} of {} is the body or the spare of {}",
                                            cabled->spare, rig.name, first->second),
                                "a body that no rig names otherwise"));
  }
}

}  // namespace

void doubt(const Given& given, const Timeline& timeline, Diagnostics& findings) {
  doubt_bodies(given, findings);
  doubt_sizes(given, findings);
  for (std::size_t r = 0; r < timeline.rigs.size(); ++r) {
    std::set<std::size_t> said;  // the parts of one step at several instants have the same exposures
    const ExposureDoubts exposures{given, given.plan.rigs[r], findings};
    for (const auto& step : timeline.rigs[r].steps) {
      doubt_margins(given, step, findings);
      if (said.insert(step.plan_step).second) exposures.look_at(step);
    }
    doubt_gaps(given, timeline, r, findings);
    doubt_horizon(given, timeline.rigs[r], findings);
  }
}

}  // namespace noonfall::timeline
