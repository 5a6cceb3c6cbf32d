#include "lib/timeline/exposures.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lib/exposure/bracket.h"
#include "lib/exposure/brightness.h"
#include "lib/exposure/scale.h"
#include "lib/timeline/settings.h"

namespace noonfall::timeline {
namespace {

using exposure::Exposure;
using exposure::Shutter;

/// Where only one choice is open, that one.
Exposure lowest(const OpenSettings& open) {
  Exposure exposure{open.shutters.front(), {}, open.isos.front()};
  if (!open.apertures.empty()) exposure.aperture = open.apertures.front();
  return exposure;
}

Shutter middle_of(std::vector<Shutter> shutters) {
  shutters = exposure::short_first(std::move(shutters));
  return shutters[shutters.size() / 2];
}

std::vector<Shutter> in_order(std::vector<Shutter> shutters, const plan::Bracket& bracket) {
  if (bracket.order == plan::BracketOrder::mirrored) return exposure::mirrored(std::move(shutters));
  if (std::holds_alternative<plan::ListBracket>(bracket.shape)) return shutters;  // as the plan lists them
  return bracket.order == plan::BracketOrder::long_first ? exposure::long_first(std::move(shutters))
                                                         : exposure::short_first(std::move(shutters));
}

class Exposer {
 public:
  Exposer(const plan::Rig& rig, const body::Profile& profile, const plan::Step& step,
          const plan::Shooting& shooting, Diagnostics& findings)
      : rig_{rig},
        profile_{profile},
        shooting_{shooting},
        whose_{step.name, rig.name, step.mark},
        findings_{findings} {}

  [[nodiscard]] std::optional<std::vector<Exposure>> set(const plan::ExposureChoice& choice,
                                                         const std::optional<plan::Bracket>& bracket) const {
    auto open = open_settings(profile_, choice, whose_, findings_);
    if (!open) return {};
    if (!bracket || std::holds_alternative<plan::CentredBracket>(bracket->shape)) {
      const auto centre = pick(*open);
      if (!centre) return {};
      if (!bracket) return with_shutters(*centre, {centre->shutter});
      const auto shutters = shutters_of(std::get<plan::CentredBracket>(bracket->shape), centre->shutter);
      if (!shutters || shutters->empty()) return {};
      return with_shutters(*centre, in_order(*shutters, *bracket));
    }
    const auto* ladder = std::get_if<plan::LadderBracket>(&bracket->shape);
    const auto shutters =
        ladder != nullptr ? shutters_of(*ladder) : shutters_of(std::get<plan::ListBracket>(bracket->shape));
    if (!shutters || shutters->empty()) return {};
    open->shutters = {middle_of(*shutters)};
    const auto middle = pick(*open);
    if (!middle) return {};
    return with_shutters(*middle, in_order(*shutters, *bracket));
  }

 private:
  /// Only what the plan leaves open is picked; where it leaves nothing open its word stands.
  [[nodiscard]] std::optional<Exposure> pick(const OpenSettings& open) const {
    if (open.shutters.size() == 1 && open.isos.size() == 1 && open.apertures.size() <= 1) return lowest(open);
    const auto range = exposure::brightness_of(shooting_.subject, rig_.filter ? rig_.filter->density : 0);
    if (!range) {
      if (open.shutters.size() == 1) return lowest(open);
      findings_.push_back(error_at(whose_.mark, "shutter-missing",
                                   fmt::format("\"{}\": nothing published says how bright a {} is",
                                               whose_.step, exposure::to_text(shooting_.subject)),
                                   "one shutter time, `exposure: {shutter: 1/60}`"));
      return {};
    }
    if (open.apertures.empty()) {
      findings_.push_back(
          error_at(whose_.mark, "aperture-missing",
                   fmt::format("\"{}\": the f-number of {} is wanted to find the shutter time", whose_.step,
                               whose_.rig),
                   "`exposure: {aperture: f/8}` at the rig or the step"));
      return {};
    }
    const auto found = exposure::pick_exposure(range->middle(), open.shutters, open.apertures, open.isos);
    if (!found) return {};
    if (!is_near(found->off.value, "what " + wanted_for_subject() + " wants",
                 exposure::to_text(found->exposure), whose_, findings_))
      return {};
    return found->exposure;
  }

  [[nodiscard]] std::optional<std::vector<Shutter>> shutters_of(const plan::CentredBracket& bracket,
                                                                Shutter centre) const {
    return judged(exposure::centred_ladder(centre, bracket.frames, bracket.by, profile_.choices.shutters),
                  bracket.by);
  }

  [[nodiscard]] std::optional<std::vector<Shutter>> shutters_of(const plan::LadderBracket& bracket) const {
    return judged(exposure::ladder_between(bracket.from, bracket.to, bracket.by, profile_.choices.shutters),
                  bracket.by);
  }

  [[nodiscard]] std::optional<std::vector<Shutter>> shutters_of(const plan::ListBracket& bracket) const {
    return on_body(profile_, bracket.shutters, whose_, findings_);
  }

  [[nodiscard]] std::optional<std::vector<Shutter>> judged(exposure::Ladder ladder, Stops by) const {
    if (!bracket_is_near(ladder.furthest_off.value, whose_, findings_)) return {};
    if (std::ranges::adjacent_find(ladder.shutters) != ladder.shutters.end()) {
      findings_.push_back(
          warning_at(whose_.mark, "bracket-repeats",
                     fmt::format("\"{}\": two rungs of the bracket, {:g} stops apart, are the same "
                                 "shutter time on {}",
                                 whose_.step, by.value, whose_.rig)));
    }
    return std::move(ladder.shutters);
  }

  [[nodiscard]] std::vector<Exposure> with_shutters(const Exposure& exposure,
                                                    const std::vector<Shutter>& shutters) const {
    std::vector<Exposure> frames;
    for (const auto shutter : shutters) {
      frames.push_back({shutter, exposure.aperture, exposure.iso});
      if (profile_.choices.apertures.empty())
        frames.back().aperture.reset();  // the lens has it, the body can't set it
    }
    return frames;
  }

  [[nodiscard]] std::string wanted_for_subject() const {
    auto subject = exposure::to_text(shooting_.subject);
    if (shooting_.subject.kind != exposure::SubjectKind::photosphere || !rig_.filter) return subject;
    return fmt::format("{} through a filter of density {:g}", subject, rig_.filter->density);
  }

  const plan::Rig& rig_;
  const body::Profile& profile_;
  const plan::Shooting& shooting_;
  Whose whose_;
  Diagnostics& findings_;
};

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

std::optional<ExposureSets> expose_step(const plan::Rig& rig, const body::Profile& profile,
                                        const plan::Step& step, const plan::Shooting& shooting,
                                        Diagnostics& findings) {
  const Exposer exposer{rig, profile, step, shooting, findings};
  const auto choice = overlay(rig.exposure, shooting.exposure);
  const auto sets = shooting.sets.empty() ? std::vector<plan::SetChoice>{{}} : shooting.sets;
  ExposureSets exposed;
  for (const auto& set : sets) {
    auto frames = exposer.set(set.exposure ? overlay(choice, *set.exposure) : choice,
                              set.bracket ? set.bracket : shooting.bracket);
    if (frames) exposed.push_back(std::move(*frames));
  }
  if (exposed.size() != sets.size()) return {};
  return exposed;
}

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
