#include <fmt/format.h>

#include "lib/plan/instant_text.h"
#include "lib/plan/print_parts.h"
#include "lib/time/duration_text.h"
#include "lib/yaml/quoted.h"

namespace noonfall::plan {
namespace {

using yaml::quoted_if_needed;

/// "long", "[long, wide]" or "all".
std::string rigs_text(const Step& step) {
  if (step.all_rigs) return "all";
  if (step.rigs.size() == 1 && step.rigs.front() != "all") return quoted_if_needed(step.rigs.front());
  std::string list;
  for (const auto& name : step.rigs) list += (list.empty() ? "" : ", ") + quoted_if_needed(name);
  return '[' + list + ']';
}

std::string instants_text(const std::vector<Instant>& instants) {
  if (instants.size() == 1) return to_text(instants.front());
  std::string list;
  for (const auto& instant : instants) list += (list.empty() ? "" : ", ") + to_text(instant);
  return '[' + list + ']';
}

void add_span(Lines& lines, const Instant& from, const Instant& until) {
  lines.add("from", to_text(from));
  lines.add("until", to_text(until));
}

struct PacePrinter {
  Lines& lines;

  void operator()(const At& at) const { lines.add("at", instants_text(at.instants)); }
  void operator()(const Every& every) const {
    add_span(lines, every.from, every.until);
    lines.add("every", noonfall::to_text(every.period));
  }
  void operator()(const Spread& spread) const {
    add_span(lines, spread.from, spread.until);
    lines.add("spread", fmt::format("{}", spread.count));
  }
  void operator()(const BackToBack& pace) const {
    add_span(lines, pace.from, pace.until);
    lines.add("every", "back to back");
  }
};

std::string sets_text(const std::vector<SetChoice>& sets) {
  std::string list;
  for (const auto& set : sets) {
    Braces braces;
    if (set.exposure) add_exposure(braces, *set.exposure);
    if (set.bracket) add_bracket(braces, *set.bracket);
    list += (list.empty() ? "" : ", ") + braces.text();
  }
  return '[' + list + ']';
}

void add_exposures(Lines& lines, const Shooting& shooting) {
  Braces exposure;
  add_exposure(exposure, shooting.exposure);
  if (!exposure.empty()) lines.add("exposure", exposure.text());
  if (shooting.bracket) {
    Braces bracket;
    add_bracket(bracket, *shooting.bracket);
    lines.add("bracket", bracket.text());
  }
  if (!shooting.sets.empty()) lines.add("sets", sets_text(shooting.sets));
}

struct StepPrinter {
  Lines& lines;
  const Step& step;

  void operator()(const Shooting& shooting) const {
    lines.add(step.rigs.size() == 1 && !step.all_rigs ? "rig" : "rigs", rigs_text(step));
    lines.add("subject", exposure::to_text(shooting.subject));
    std::visit(PacePrinter{lines}, shooting.pace);
    if (shooting.drive == body::Drive::continuous) lines.add("drive", "continuous");
    add_exposures(lines, shooting);
    if (shooting.unfinished == Unfinished::drop) lines.add("unfinished", "drop");
    if (const auto free = shooting.leave_free_frames)
      lines.add("leave_free", fmt::format("{} {}", *free, *free == 1 ? "frame" : "frames"));
    if (shooting.patience) lines.add("patience", noonfall::to_text(*shooting.patience));
  }
  void operator()(const HandsOn& hands) const {
    lines.add("hands", rigs_text(step));
    add_span(lines, hands.from, hands.until);
    if (hands.every) {
      lines.add("every", noonfall::to_text(*hands.every));
      lines.add("lasts", noonfall::to_text(hands.lasts));
    }
    if (hands.aim) lines.add("aim", to_text(*hands.aim));
    if (!hands.say.empty()) lines.add("say", quoted_if_needed(hands.say));
  }
  void operator()(const MirrorOf& mirror) const { lines.add("mirror", quoted_if_needed(mirror.step)); }
};

}  // namespace

std::string print(const Step& step) {
  Lines lines;
  std::visit(StepPrinter{lines, step}, step.what);
  if (const auto& condition = step.only_if) {
    lines.add("only_if", fmt::format("totality {} {}", condition->at_least ? ">=" : "<=",
                                     noonfall::to_text(condition->totality)));
  }
  return fmt::format("  - name: {}\n{}", quoted_if_needed(step.name), lines.text());
}

}  // namespace noonfall::plan
