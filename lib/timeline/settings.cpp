#include "lib/timeline/settings.h"

#include <cmath>

#include <fmt/format.h>

#include "lib/exposure/scale.h"

namespace noonfall::timeline {
namespace {

constexpr double noticeable_stops = 1.0 / 6 + 1e-9;
constexpr double unusable_stops = 1 + 1e-9;

bool judge(double off_stops, const Whose& whose, std::string words, Diagnostics& findings) {
  const double off = std::abs(off_stops);
  if (off <= noticeable_stops) return true;
  const bool usable = off <= unusable_stops;
  findings.push_back(usable ? warning_at(whose.mark, "exposure-not-offered", std::move(words))
                            : error_at(whose.mark, "exposure-out-of-reach", std::move(words),
                                       "another shutter, f-number or ISO, within a stop"));
  return usable;
}

/// The choices within the limits, or the nearest to the lower one. Empty after an error.
template <class T>
std::vector<T> allowed(const std::vector<T>& choices, const plan::Limits<T>& limits, const Whose& whose,
                       Diagnostics& findings) {
  auto inside = exposure::within(choices, limits.low, limits.high);
  if (!inside.empty()) return inside;
  const auto found = exposure::nearest(limits.low, choices);
  if (!found) {
    findings.push_back(error_at(whose.mark, "no-choices",
                                fmt::format("the body of {} offers no values for this", whose.rig)));
    return {};
  }
  const bool usable = is_near(found->off.value, exposure::to_text(limits.low),
                              exposure::to_text(found->value), whose, findings);
  return usable ? std::vector{found->value} : std::vector<T>{};
}

bool find_apertures(const body::Profile& profile, const plan::ExposureChoice& choice, const Whose& whose,
                    Diagnostics& findings, OpenSettings& open) {
  if (profile.choices.apertures.empty()) {
    if (!choice.aperture) return true;
    if (choice.aperture->low == choice.aperture->high) {
      open.apertures = {choice.aperture->low};
      return true;
    }
    findings.push_back(
        error_at(choice.mark, "aperture-fixed",
                 fmt::format("\"{}\": the body of {} can't set an f-number, so there is nothing to "
                             "choose from {} to {}",
                             whose.step, whose.rig, exposure::to_text(choice.aperture->low),
                             exposure::to_text(choice.aperture->high)),
                 "the one f-number the lens has"));
    return false;
  }
  if (!choice.aperture) {
    findings.push_back(error_at(whose.mark, "aperture-missing",
                                fmt::format("\"{}\" names no f-number for {}", whose.step, whose.rig),
                                "`exposure: {aperture: f/8}` at the rig or the step"));
    return false;
  }
  open.apertures = allowed(profile.choices.apertures, *choice.aperture, whose, findings);
  return !open.apertures.empty();
}

bool find_isos(const body::Profile& profile, const plan::ExposureChoice& choice, const Whose& whose,
               Diagnostics& findings, OpenSettings& open) {
  if (!choice.iso) {
    findings.push_back(error_at(whose.mark, "iso-missing",
                                fmt::format("\"{}\" names no ISO for {}", whose.step, whose.rig),
                                "`exposure: {iso: 400}` at the rig or the step"));
    return false;
  }
  open.isos = allowed(profile.choices.isos, *choice.iso, whose, findings);
  return !open.isos.empty();
}

}  // namespace

plan::ExposureChoice overlay(const plan::ExposureChoice& under, const plan::ExposureChoice& over) {
  plan::ExposureChoice both = under;
  if (over.shutter) both.shutter = over.shutter;
  if (over.aperture) both.aperture = over.aperture;
  if (over.iso) both.iso = over.iso;
  if (over.mark.line > 0) both.mark = over.mark;
  return both;
}

bool is_near(double off_stops, const std::string& wanted, const std::string& found, const Whose& whose,
             Diagnostics& findings) {
  return judge(off_stops, whose,
               fmt::format("\"{}\": {} gets no nearer to {} than {}, {:.1f} stops {}", whose.step, whose.rig,
                           wanted, found, std::abs(off_stops), off_stops > 0 ? "brighter" : "darker"),
               findings);
}

bool bracket_is_near(double off_stops, const Whose& whose, Diagnostics& findings) {
  return judge(
      off_stops, whose,
      fmt::format("\"{}\": a rung of the bracket is {:.1f} stops from the nearest shutter time of {}",
                  whose.step, std::abs(off_stops), whose.rig),
      findings);
}

std::optional<OpenSettings> open_settings(const body::Profile& profile, const plan::ExposureChoice& choice,
                                          const Whose& whose, Diagnostics& findings) {
  OpenSettings open;
  open.shutters = choice.shutter ? allowed(profile.choices.shutters, *choice.shutter, whose, findings)
                                 : profile.choices.shutters;
  const bool shutters_found = !open.shutters.empty();
  const bool apertures_found = find_apertures(profile, choice, whose, findings, open);
  const bool isos_found = find_isos(profile, choice, whose, findings, open);
  if (!shutters_found || !apertures_found || !isos_found) return {};
  return open;
}

std::optional<std::vector<exposure::Shutter>> on_body(const body::Profile& profile,
                                                      const std::vector<exposure::Shutter>& wanted,
                                                      const Whose& whose, Diagnostics& findings) {
  std::vector<exposure::Shutter> found;
  for (const auto shutter : wanted) {
    const auto choice = allowed(profile.choices.shutters, {shutter, shutter}, whose, findings);
    if (!choice.empty()) found.push_back(choice.front());
  }
  if (found.size() != wanted.size()) return {};
  return found;
}

}  // namespace noonfall::timeline
