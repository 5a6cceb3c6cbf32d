#include "lib/timeline/left_out.h"

#include <fmt/format.h>

#include "lib/plan/mirror.h"
#include "lib/time/duration_text.h"
#include "lib/timeline/relative_text.h"

namespace noonfall::timeline {
namespace {

std::string sky_in_words(contacts::Kind kind) {
  switch (kind) {
    case contacts::Kind::none:
      return "the eclipse isn't seen at the site";
    case contacts::Kind::partial:
      return "the eclipse is partial at the site";
    case contacts::Kind::annular:
      return "the eclipse is annular at the site";
    case contacts::Kind::total:
      break;
  }
  return "the eclipse is total at the site";
}

std::optional<std::string> condition_fails(const plan::Step& step, const contacts::Circumstances& sky) {
  if (!step.only_if) return {};
  const auto totality = sky.totality();
  const bool holds =
      step.only_if->at_least ? totality >= step.only_if->totality : totality <= step.only_if->totality;
  if (holds) return {};
  return fmt::format("totality lasts {}, wanted {} {}", rounded_text(totality),
                     step.only_if->at_least ? ">=" : "<=", noonfall::to_text(step.only_if->totality));
}

std::string no_totality(const contacts::Circumstances& sky) {
  return fmt::format("there is no totality: {}", sky_in_words(sky.kind));
}

/// Subjects there are only while the photosphere is covered.
bool needs_totality(exposure::SubjectKind subject) {
  return subject != exposure::SubjectKind::photosphere && subject != exposure::SubjectKind::landscape;
}

}  // namespace

std::optional<std::string> why_left_out(const plan::Instant& instant, const contacts::Circumstances& sky) {
  const auto* from_contact = std::get_if<plan::ContactOffset>(&instant.value);
  if (from_contact == nullptr) return {};
  if (!sky.at(from_contact->contact)) {
    return fmt::format("there is no {}: {}", contacts::to_text(from_contact->contact),
                       sky_in_words(sky.kind));
  }
  if (from_contact->percent_of_totality == 0 || sky.kind == contacts::Kind::total) return {};
  return no_totality(sky);
}

std::optional<std::string> why_left_out(const plan::Step& step, const contacts::Circumstances& sky) {
  if (auto condition = condition_fails(step, sky)) return condition;
  for (const auto* instant : plan::instants_of(step))
    if (auto missing = why_left_out(*instant, sky)) return missing;
  const auto* shooting = std::get_if<plan::Shooting>(&step.what);
  if (shooting == nullptr || sky.kind == contacts::Kind::total || !needs_totality(shooting->subject.kind))
    return {};
  return no_totality(sky);
}

std::optional<std::string> why_left_out(const plan::Shooting& shooting, const plan::Rig& rig,
                                        const contacts::Circumstances& sky) {
  const bool unfiltered = rig.filter && shooting.subject.kind != exposure::SubjectKind::photosphere;
  if (!unfiltered || sky.kind == contacts::Kind::total) return {};
  return fmt::format("the filter of {} stays on: {}", rig.name, sky_in_words(sky.kind));
}

std::optional<Diagnostic> far_from_eclipse(Utc instant, Mark mark, const std::string& whose,
                                           const contacts::Circumstances& sky) {
  using namespace std::chrono_literals;
  const auto noon = Utc{std::chrono::sys_days{sky.eclipse}} + 12h;
  if (std::chrono::abs(instant - noon) <= 36h) return {};
  return error_at(mark, "far-from-eclipse",
                  fmt::format("\"{}\": {} isn't near the eclipse of {}", whose, noonfall::to_text(instant),
                              noonfall::to_text(sky.eclipse)),
                  "an instant within a day of the eclipse");
}

Diagnostic empty_span(Utc from, Utc until, Mark mark, const std::string& whose,
                      const contacts::Circumstances& sky) {
  return error_at(mark, "empty-span",
                  fmt::format("\"{}\": begins at {} but ends at {}", whose, relative_text(from, sky),
                              relative_text(until, sky)),
                  "`from` before `until`");
}

}  // namespace noonfall::timeline
