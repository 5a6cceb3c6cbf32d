#include "lib/timeline/exposures.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/exposure/bracket.h"
#include "lib/exposure/brightness.h"
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
                                                         const std::optional<plan::Bracket>& bracket) const;

 private:
  [[nodiscard]] std::optional<Exposure> pick(const OpenSettings& open) const;
  [[nodiscard]] std::optional<std::vector<Shutter>> rungs(const plan::CentredBracket& bracket,
                                                          Shutter centre) const;
  [[nodiscard]] std::optional<std::vector<Shutter>> rungs(const plan::LadderBracket& bracket) const;
  [[nodiscard]] std::optional<std::vector<Shutter>> rungs(const plan::ListBracket& bracket) const;
  [[nodiscard]] std::optional<std::vector<Shutter>> judged(exposure::Ladder ladder, Stops by) const;
  [[nodiscard]] std::vector<Exposure> with_shutters(const Exposure& exposure,
                                                    const std::vector<Shutter>& shutters) const;
  [[nodiscard]] std::string wanted_for_subject() const;

  const plan::Rig& rig_;
  const body::Profile& profile_;
  const plan::Shooting& shooting_;
  Whose whose_;
  Diagnostics& findings_;
};

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

std::string Exposer::wanted_for_subject() const {
  auto subject = exposure::to_text(shooting_.subject);
  if (shooting_.subject.kind != exposure::SubjectKind::photosphere || !rig_.filter) return subject;
  return fmt::format("{} through a filter of density {:g}", subject, rig_.filter->density);
}

/// Only what the plan leaves open is picked; where it leaves nothing open its word stands.
std::optional<Exposure> Exposer::pick(const OpenSettings& open) const {
  if (open.shutters.size() == 1 && open.isos.size() == 1 && open.apertures.size() <= 1) return lowest(open);
  const auto range = exposure::brightness_of(shooting_.subject, rig_.filter ? rig_.filter->density : 0);
  if (!range) {
    if (open.shutters.size() == 1) return lowest(open);
    findings_.push_back(error_at(whose_.mark, "shutter-missing",
                                 fmt::format("\"{}\": nothing published says how bright a {} is", whose_.step,
                                             exposure::to_text(shooting_.subject)),
                                 "one shutter time, `exposure: {shutter: 1/60}`"));
    return {};
  }
  if (open.apertures.empty()) {
    findings_.push_back(error_at(
        whose_.mark, "aperture-missing",
        fmt::format("\"{}\": the f-number of {} is wanted to find the shutter time", whose_.step, whose_.rig),
        "`exposure: {aperture: f/8}` at the rig or the step"));
    return {};
  }
  const auto found = exposure::pick_exposure(range->middle(), open.shutters, open.apertures, open.isos);
  if (!found) return {};
  auto off = judge_off(found->off.value, "what " + wanted_for_subject() + " wants",
                       exposure::to_text(found->exposure), whose_);
  const bool usable = !off || off->severity == Severity::warning;
  if (off) findings_.push_back(std::move(*off));
  if (!usable) return {};
  return found->exposure;
}

std::optional<std::vector<Shutter>> Exposer::judged(exposure::Ladder ladder, Stops by) const {
  auto off = judge_rung(ladder.furthest_off.value, whose_);
  const bool usable = !off || off->severity == Severity::warning;
  if (off) findings_.push_back(std::move(*off));
  if (!usable) return {};
  if (std::adjacent_find(ladder.shutters.begin(), ladder.shutters.end()) != ladder.shutters.end()) {
    findings_.push_back(
        warning_at(whose_.mark, "bracket-repeats",
                   fmt::format("\"{}\": two rungs of the bracket, {:g} stops apart, are the same "
                               "shutter time on {}",
                               whose_.step, by.value, whose_.rig)));
  }
  return std::move(ladder.shutters);
}

std::optional<std::vector<Shutter>> Exposer::rungs(const plan::CentredBracket& bracket,
                                                   Shutter centre) const {
  return judged(exposure::centred_ladder(centre, bracket.frames, bracket.by, profile_.choices.shutters),
                bracket.by);
}

std::optional<std::vector<Shutter>> Exposer::rungs(const plan::LadderBracket& bracket) const {
  return judged(exposure::ladder_between(bracket.from, bracket.to, bracket.by, profile_.choices.shutters),
                bracket.by);
}

std::optional<std::vector<Shutter>> Exposer::rungs(const plan::ListBracket& bracket) const {
  return on_body(profile_, bracket.shutters, whose_, findings_);
}

std::vector<Exposure> Exposer::with_shutters(const Exposure& exposure,
                                             const std::vector<Shutter>& shutters) const {
  std::vector<Exposure> frames;
  for (const auto shutter : shutters) {
    frames.push_back({shutter, exposure.aperture, exposure.iso});
    if (profile_.choices.apertures.empty())
      frames.back().aperture.reset();  // the lens has it, the body can't set it
  }
  return frames;
}

std::optional<std::vector<Exposure>> Exposer::set(const plan::ExposureChoice& choice,
                                                  const std::optional<plan::Bracket>& bracket) const {
  auto open = open_settings(profile_, choice, whose_, findings_);
  if (!open) return {};
  const auto* centred = bracket ? std::get_if<plan::CentredBracket>(&bracket->shape) : nullptr;
  if (!bracket || centred != nullptr) {
    const auto centre = pick(*open);
    if (!centre) return {};
    if (centred == nullptr) return with_shutters(*centre, {centre->shutter});
    const auto shutters = rungs(*centred, centre->shutter);
    if (!shutters || shutters->empty()) return {};
    return with_shutters(*centre, in_order(*shutters, *bracket));
  }
  const auto* ladder = std::get_if<plan::LadderBracket>(&bracket->shape);
  const auto shutters =
      ladder != nullptr ? rungs(*ladder) : rungs(std::get<plan::ListBracket>(bracket->shape));
  if (!shutters || shutters->empty()) return {};
  open->shutters = {middle_of(*shutters)};
  const auto middle = pick(*open);
  if (!middle) return {};
  return with_shutters(*middle, in_order(*shutters, *bracket));
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

}  // namespace noonfall::timeline
