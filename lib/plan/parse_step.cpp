#include "lib/plan/parse_parts.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/base/number.h"
#include "lib/time/duration_text.h"
#include "lib/yaml/typed.h"

namespace noonfall::plan {
namespace {

using namespace std::chrono_literals;

constexpr const char* wanted_condition =
    "a condition on totality, like totality >= 60 s or totality <= 2 min";
constexpr const char* wanted_rigs = "the name of a rig, a list of names, or all";

/// "totality >= 60 s"
std::optional<OnlyIf> parse_condition(std::string_view text) {
  constexpr std::string_view totality = "totality";
  constexpr std::size_t relation_size = 2;
  if (!text.starts_with(totality)) return std::nullopt;
  const auto rest = trim(text.substr(totality.size()));
  const auto relation = rest.substr(0, relation_size);
  if (relation != ">=" && relation != "<=") return std::nullopt;
  const auto span = parse_duration(trim(rest.substr(relation_size)));
  if (!span || *span > 1h) return std::nullopt;
  return OnlyIf{relation == ">=", *span, {}};
}

std::optional<OnlyIf> read_condition(const yaml::Field& field) {
  auto condition = yaml::read_as(field, parse_condition, wanted_condition);
  if (condition) condition->mark = field.mark();
  return condition;
}

/// A name, a list of names, or "all".
void read_rigs(const yaml::Field& field, Step& step) {
  step.rigs_mark = field.mark();
  for (const auto& item : yaml::read_one_or_more(field, wanted_rigs)) {
    auto name = read_name(item);
    if (!name) continue;
    if (*name == "all" && !field.is_list()) {
      step.all_rigs = true;
    } else if (std::find(step.rigs.begin(), step.rigs.end(), *name) != step.rigs.end()) {
      item.error("duplicate-name", fmt::format("rig \"{}\" for the second time", *name), "each rig once");
    } else {
      step.rigs.push_back(std::move(*name));
    }
  }
}

void read_rig_keys(yaml::MapReader& map, Step& step, Diagnostics& findings) {
  const auto rig = map.optional("rig");
  const auto rigs = map.optional("rigs");
  if (!rig && !rigs) {
    findings.push_back(error_at(map.mark(), "missing-key", fmt::format("{} has no rig", map.what()),
                                "rig: NAME, rigs: [NAME, NAME] or rigs: all"));
  }
  if (rig && rigs) rigs.error("one-of-two", "a second list beside rig", "rig or rigs, not both");
  read_rigs(rig ? rig : rigs, step);
}

HandsOn read_hands_on(yaml::MapReader& map) {
  HandsOn hands;
  hands.from = read_instant(map.required("from")).value_or(Instant{});
  hands.until = read_instant(map.required("until")).value_or(Instant{});
  hands.say = read_cue_words(map.optional("say")).value_or("");
  const auto every = map.optional("every");
  hands.every = read_span(every, {1min, 24h}, "a duration from 1 min to 24 h, like 8 min");
  const auto lasts = map.optional("lasts");
  hands.lasts =
      read_span(lasts, {5s, 1h}, "a duration from 5 s to 1 h, like 1 min").value_or(HandsOn{}.lasts);
  if (lasts && !every) {
    lasts.error("one-of-two", "a duration of each span, but only one span",
                "`every: 8 min` beside it, or from and until alone");
  }
  if (hands.every && hands.lasts > *hands.every)
    every.error("out-of-range", "the next span begins before the last is over",
                "an `every` longer than `lasts`");
  const auto aim = map.optional("aim");
  hands.aim = read_instant(aim);
  if (aim && every)
    aim.error("one-of-two", "one instant to aim for, but several spans", "aim or every, not both");
  return hands;
}

}  // namespace

Step read_step(const yaml::Field& field) {
  yaml::MapReader map{field, label_of(field, "step")};
  Step step;
  step.mark = field.mark();
  if (!field.is_mapping()) return step;
  const auto name = map.required("name");
  step.name = read_name(name).value_or("");
  check_spoken_name("", step.name, name.mark(), field.findings());
  if (map.has("mirror")) {
    const auto mirror = map.optional("mirror");
    step.what = MirrorOf{read_name(mirror).value_or(""), mirror.mark()};
  } else if (map.has("hands")) {
    read_rigs(map.optional("hands"), step);
    step.what = read_hands_on(map);
  } else {
    read_rig_keys(map, step, field.findings());
    step.what = read_shooting(map, field.findings());
    map.also_known("hands");
    map.also_known("mirror");
  }
  step.only_if = read_condition(map.optional("only_if"));
  map.finish();
  return step;
}

}  // namespace noonfall::plan
