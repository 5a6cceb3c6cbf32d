#include "lib/plan/mirror.h"

#include <algorithm>

#include <fmt/format.h>

namespace noonfall::plan {
namespace {

using contacts::ContactName;

ContactName mirrored(ContactName contact) {
  switch (contact) {
    case ContactName::c1:
      return ContactName::c4;
    case ContactName::c2:
      return ContactName::c3;
    case ContactName::mid:
      return ContactName::mid;
    case ContactName::c3:
      return ContactName::c2;
    case ContactName::c4:
      return ContactName::c1;
  }
  return contact;
}

Bracket mirrored(Bracket bracket) {
  if (auto* list = std::get_if<ListBracket>(&bracket.shape)) {
    std::reverse(list->shutters.begin(), list->shutters.end());
  } else if (bracket.order != BracketOrder::mirrored && !bracket.in_body) {
    bracket.order =
        bracket.order == BracketOrder::short_first ? BracketOrder::long_first : BracketOrder::short_first;
  }
  return bracket;
}

struct MirroredPace {
  Pace operator()(const At& at) const {
    At turned;
    for (const auto& instant : at.instants) turned.instants.push_back(plan::mirrored(instant));
    std::reverse(turned.instants.begin(), turned.instants.end());
    return turned;
  }
  Pace operator()(const Every& every) const {
    return Every{plan::mirrored(every.until), plan::mirrored(every.from), every.period,
                 !every.counted_from_end};
  }
  Pace operator()(const Spread& spread) const {
    return Spread{plan::mirrored(spread.until), plan::mirrored(spread.from), spread.count};
  }
  Pace operator()(const BackToBack& pace) const {
    return BackToBack{plan::mirrored(pace.until), plan::mirrored(pace.from)};
  }
};

/// How many sets a pace takes in all; 0 where that isn't known beforehand or counts from the end anyway.
std::size_t count_of_sets(const Pace& pace) {
  if (const auto* at = std::get_if<At>(&pace)) return at->instants.size();
  if (const auto* spread = std::get_if<Spread>(&pace)) return static_cast<std::size_t>(spread->count);
  return 0;
}

/// Reversed, and turned so that the last of the original's sets, which may stop amid a round, comes first.
std::vector<SetChoice> mirrored(std::vector<SetChoice> sets, std::size_t count) {
  if (sets.empty()) return sets;
  std::reverse(sets.begin(), sets.end());
  for (auto& set : sets) {
    if (set.bracket) set.bracket = mirrored(std::move(*set.bracket));
  }
  const auto round = sets.size();
  const auto unused_in_last_round = (round - count % round) % round;
  std::rotate(sets.begin(), sets.begin() + static_cast<std::ptrdiff_t>(unused_in_last_round), sets.end());
  return sets;
}

Shooting mirrored(Shooting shooting) {
  shooting.sets = mirrored(std::move(shooting.sets), count_of_sets(shooting.pace));
  shooting.pace = std::visit(MirroredPace{}, shooting.pace);
  if (shooting.bracket) shooting.bracket = mirrored(std::move(*shooting.bracket));
  return shooting;
}

HandsOn mirrored(const HandsOn& hands) {
  auto turned = hands;
  turned.from = plan::mirrored(hands.until);
  turned.until = plan::mirrored(hands.from);
  turned.counted_from_end = hands.every && !hands.counted_from_end;
  turned.aim = {};  // its counterpart would lie before the span: aimed is for the frames that follow
  return turned;
}

Result<Step> mirrored(const Step& mirror, const Plan& plan) {
  const auto& of = std::get<MirrorOf>(mirror.what);
  const auto original = std::find_if(plan.steps.begin(), plan.steps.end(), [&](const Step& step) {
    return step.name == of.step && !std::holds_alternative<MirrorOf>(step.what);
  });
  if (original == plan.steps.end()) {
    return fail(error_at(of.mark, "unknown-step", fmt::format("there is no step \"{}\" to mirror", of.step),
                         "the name of a step that is no mirror"));
  }
  auto findings = instants_without_mirror(*original, mirror.name);
  if (!findings.empty()) return fail(std::move(findings));
  Step turned = *original;
  turned.name = mirror.name;
  turned.mark = mirror.mark;
  if (mirror.only_if) turned.only_if = mirror.only_if;
  if (const auto* shooting = std::get_if<Shooting>(&original->what)) turned.what = mirrored(*shooting);
  if (const auto* hands = std::get_if<HandsOn>(&original->what)) turned.what = mirrored(*hands);
  return turned;
}

}  // namespace

Instant mirrored(const Instant& instant) {
  const auto* at = std::get_if<ContactOffset>(&instant.value);
  if (!at) return instant;
  return {ContactOffset{mirrored(at->contact), -at->offset, -at->percent_of_totality}, instant.mark};
}

std::vector<const Instant*> instants_of(const Step& step) {
  std::vector<const Instant*> found;
  if (const auto* hands = std::get_if<HandsOn>(&step.what)) {
    found = {&hands->from, &hands->until};
    if (hands->aim) found.push_back(&*hands->aim);
    return found;
  }
  const auto* shooting = std::get_if<Shooting>(&step.what);
  if (shooting == nullptr) return found;
  if (const auto* at = std::get_if<At>(&shooting->pace)) {
    for (const auto& instant : at->instants) found.push_back(&instant);
    return found;
  }
  std::visit(
      [&found](const auto& pace) {
        if constexpr (requires { pace.from; }) found = {&pace.from, &pace.until};
      },
      shooting->pace);
  return found;
}

Diagnostics instants_without_mirror(const Step& original, std::string_view mirror) {
  Diagnostics findings;
  for (const auto* instant : instants_of(original)) {
    if (!std::holds_alternative<Utc>(instant->value)) continue;
    findings.push_back(error_at(instant->mark, "mirror-of-utc",
                                fmt::format("a UTC instant in a step that \"{}\" mirrors", mirror),
                                "an instant from a contact, like C2 - 8 s"));
  }
  return findings;
}

Result<std::vector<Step>> with_mirrors_resolved(const Plan& plan) {
  std::vector<Step> steps;
  Diagnostics findings;
  for (const auto& step : plan.steps) {
    if (!std::holds_alternative<MirrorOf>(step.what)) {
      steps.push_back(step);
      continue;
    }
    auto turned = mirrored(step, plan);
    if (turned) {
      steps.push_back(std::move(*turned));
    } else {
      findings.insert(findings.end(), turned.error().begin(), turned.error().end());
    }
  }
  if (!findings.empty()) return fail(std::move(findings));
  return steps;
}

}  // namespace noonfall::plan
