#include "lib/timeline/exposures.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lib/exposure/bracket.h"
#include "lib/exposure/brightness.h"
#include "lib/exposure/scale.h"
#include "lib/ladder/ladder.h"
#include "lib/timeline/settings.h"

namespace noonfall::timeline {
namespace {

using exposure::Exposure;
using exposure::Shutter;

/// Where only one choice is open, that one.
Exposure lowest(const OpenSettings& open) {
  Exposure exposure{.shutter = open.shutters.front(), .aperture = {}, .iso = open.isos.front()};
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
          const plan::Shooting& shooting, const Scene& scene, Diagnostics& findings)
      : rig_{rig},
        profile_{profile},
        shooting_{shooting},
        whose_{step.name, rig.name, step.mark},
        scene_{scene},
        findings_{findings} {}

  [[nodiscard]] std::optional<std::vector<Exposure>> set(const plan::ExposureChoice& choice,
                                                         const std::optional<plan::Bracket>& bracket) const {
    auto open = open_settings(profile_, choice, whose_, findings_);
    if (!open) return {};
    if (!bracket && wants_ladder(*open)) return ladder_set(*open);
    if (!bracket) {
      const auto one = pick(*open, {});
      return one ? std::optional{with_shutters(*one, {one->shutter})} : std::nullopt;
    }
    if (const auto* centred = std::get_if<plan::CentredBracket>(&bracket->shape))
      return centred_set(*centred, choice, *open, *bracket);
    const auto* ladder = std::get_if<plan::LadderBracket>(&bracket->shape);
    const auto shutters =
        ladder != nullptr ? shutters_of(*ladder) : shutters_of(std::get<plan::ListBracket>(bracket->shape));
    if (!shutters || shutters->empty()) return {};
    open->shutters = {middle_of(*shutters)};
    const auto middle = pick(*open, {});
    if (!middle) return {};
    return bracketed(*middle, *shutters, *bracket);
  }

 private:
  [[nodiscard]] bool wants_ladder(const OpenSettings& open) const {
    const auto& subject = shooting_.subject;
    return subject.kind == exposure::SubjectKind::corona && subject.low_radii < subject.high_radii &&
           shooting_.sets.empty() && shooting_.drive == body::Drive::single && open.shutters.size() > 1 &&
           !open.apertures.empty();
  }

  [[nodiscard]] std::vector<Exposure> ladder_set(const OpenSettings& open) const {
    const auto aperture = open.apertures.front();
    ladder::Task task{profile_,
                      {ladder::sensor_of(profile_, pixel_of(rig_)), aperture, scene_.light.lost},
                      profile_.choices.apertures.empty() ? std::nullopt : std::optional{aperture},
                      open.isos.front(),
                      shooting_.subject,
                      short_enough(open.shutters),
                      scene_.back_to_back.value_or(Duration{})};
    task.iso = iso_for(task, open.isos);
    const auto rungs = scene_.back_to_back ? ladder::best_ladder(task) : ladder::equal_steps(task);
    return with_shutters({rungs.front(), aperture, task.iso}, rungs);
  }

  /// The lowest with which the longest shutter is long enough for the faintest part; else the highest.
  [[nodiscard]] exposure::Iso iso_for(const ladder::Task& task,
                                      const std::vector<exposure::Iso>& isos) const {
    const auto faintest = exposure::brightness_of(task.corona, 0)->faintest.q - scene_.light.lost.value;
    const double longest = exposure::exact_seconds(task.shutters.back()) * std::exp2(1.0 / 6);
    const auto found = std::ranges::find_if(isos, [&](exposure::Iso iso) {
      return exposure::ideal_seconds({faintest}, task.light.aperture, iso).value <= longest;
    });
    return found == isos.end() ? isos.back() : *found;
  }

  /// Longer than 8 s nothing is taken by choice: a cloud or a gust spoils too much of it (common practice, no
  /// source).
  [[nodiscard]] std::vector<Shutter> short_enough(std::vector<Shutter> shutters) const {
    const double longest = std::min(scene_.longest.value, 8.0) * std::exp2(1e-9);
    const auto shortest = shutters.front();
    std::erase_if(shutters, [&](Shutter shutter) { return exposure::exact_seconds(shutter) > longest; });
    return shutters.empty() ? std::vector{shortest} : shutters;
  }

  /// Only what the plan leaves open is picked; where it leaves nothing open its word stands. `to_longest` is
  /// how much longer the longest frame of the set will be.
  [[nodiscard]] std::optional<Exposure> pick(const OpenSettings& open, Stops to_longest) const {
    if (open.shutters.size() == 1 && open.isos.size() == 1 && open.apertures.size() <= 1) return lowest(open);
    const auto brightness = brightness_wanted();
    if (!brightness) {
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
    const Seconds longest{scene_.longest.value * std::exp2(-to_longest.value)};
    const auto found =
        exposure::pick_exposure(*brightness, open.shutters, open.apertures, open.isos, longest);
    if (!found || !is_usable(*found)) return {};
    if (open.isos.size() > 1 && open.shutters.size() > 1) say_if_too_slow(*found, longest);
    return found->exposure;
  }

  [[nodiscard]] std::optional<exposure::Brightness> brightness_wanted() const {
    const auto lost = scene_.light.lost.value;
    if (shooting_.subject.kind == exposure::SubjectKind::landscape) {
      if (!scene_.counted) return {};
      return exposure::Brightness{exposure::landscape_by_day.q - lost};
    }
    const auto range = exposure::brightness_of(shooting_.subject, rig_.filter ? rig_.filter->density : 0);
    if (!range) return {};
    return exposure::Brightness{range->middle().q - lost};
  }

  /// What a low Sun leaves too dark is told, and shot all the same.
  [[nodiscard]] bool is_usable(const exposure::Pick& found) const {
    Diagnostics said;
    const bool near = is_near(found.off.value, "what " + wanted_for_subject() + " wants",
                              exposure::to_text(found.exposure), whose_, said);
    const bool by_low_sun = scene_.light.by_air && found.off < Stops{0};
    for (auto& finding : said) {
      if (by_low_sun) finding = warning_at(finding.mark, "low-sun-dark", finding.message, finding.hint);
      findings_.push_back(std::move(finding));
    }
    return near || by_low_sun;
  }

  void say_if_too_slow(const exposure::Pick& found, Seconds longest) const {
    const double seconds = exposure::exact_seconds(found.exposure.shutter);
    if (seconds <= longest.value * std::exp2(1.0 / 6)) return;
    findings_.push_back(
        warning_at(whose_.mark, scene_.light.by_air ? "low-sun-slow" : "limits-too-slow",
                   fmt::format("\"{}\": even {} wants {} on {}, longer than the {:.2g} s that stay sharp",
                               whose_.step, exposure::to_text(found.exposure.iso),
                               exposure::to_text(found.exposure.shutter), whose_.rig, longest.value),
                   "a higher limit for the ISO, or a wider aperture"));
  }

  [[nodiscard]] std::optional<std::vector<Exposure>> centred_set(const plan::CentredBracket& bracket,
                                                                 const plan::ExposureChoice& choice,
                                                                 const OpenSettings& open,
                                                                 const plan::Bracket& whole) const {
    const Stops half{bracket.by.value * (bracket.frames - 1) / 2};
    auto inside = open;
    const bool bounded = choice.shutter && choice.shutter->low != choice.shutter->high;
    if (bounded) {
      std::erase_if(inside.shutters, [&](Shutter centre) { return leaves(*choice.shutter, centre, half); });
      if (inside.shutters.empty()) return refuse_width(half, *choice.shutter);
    }
    const auto centre = pick(inside, half);
    if (!centre) return {};
    const auto shutters = judged(
        exposure::centred_ladder(centre->shutter, bracket.frames, bracket.by, profile_.choices.shutters),
        bracket.by);
    if (!shutters || shutters->empty()) return {};
    return bracketed(*centre, *shutters, whole);
  }

  /// Whether a bracket that reaches `half` to each side of the centre leaves the limits.
  static bool leaves(const plan::Limits<Shutter>& limits, Shutter centre, Stops half) {
    constexpr double slack = 1.0 / 6;
    const double middle = std::log2(exposure::exact_seconds(centre));
    return middle - half.value < std::log2(exposure::exact_seconds(limits.low)) - slack ||
           middle + half.value > std::log2(exposure::exact_seconds(limits.high)) + slack;
  }

  std::nullopt_t refuse_width(Stops half, const plan::Limits<Shutter>& limits) const {
    findings_.push_back(
        error_at(whose_.mark, "bracket-beyond-limits",
                 fmt::format("\"{}\": a bracket {:g} stops wide doesn't fit between {} and {}", whose_.step,
                             2 * half.value, exposure::to_text(limits.low), exposure::to_text(limits.high)),
                 "fewer or nearer frames, or wider limits"));
    return std::nullopt;
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

  [[nodiscard]] std::optional<std::vector<Exposure>> bracketed(const Exposure& middle,
                                                               const std::vector<Shutter>& shutters,
                                                               const plan::Bracket& bracket) const {
    if (!bracket.in_body) return with_shutters(middle, in_order(shutters, bracket));
    if (auto why = why_no_own_bracket(profile_, shutters, whose_)) {
      findings_.push_back(std::move(*why));
      return {};
    }
    return with_shutters(middle, in_body_order(shutters, *profile_.brackets));
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
  Scene scene_;
  Diagnostics& findings_;
};

}  // namespace

std::optional<ExposureSets> expose_step(const plan::Rig& rig, const body::Profile& profile,
                                        const plan::Step& step, const plan::Shooting& shooting,
                                        const Scene& scene, Diagnostics& findings) {
  const Exposer exposer{rig, profile, step, shooting, scene, findings};
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
