#include "lib/plan/parse.h"

#include <fmt/format.h>

#include "lib/plan/cross_references.h"
#include "lib/plan/parse_parts.h"
#include "lib/yaml/field.h"
#include "lib/yaml/reader.h"
#include "lib/yaml/typed.h"

namespace noonfall::plan {
namespace {

constexpr int format_version = 1;
constexpr std::size_t most_rigs = 64;
constexpr std::size_t most_entries = 1000;  // of steps, and of cues
constexpr std::size_t longest_title = 200;
constexpr yaml::Choice<Language> languages[] = {
    {"en", Language::english}, {"es", Language::spanish}, {"fr", Language::french}, {"de", Language::german}};
constexpr std::size_t most_errors = yaml::most_errors;

/// False where the text is of another version, and nothing else in it can be judged.
bool is_our_version(const yaml::Field& field) {
  const auto version = yaml::read_integer(field, {1, 1e9}, "noonfall: 1");
  if (!version || *version == format_version) return true;
  field.error("newer-format",
              fmt::format("plan format {}; this noonfall reads format {}", *version, format_version),
              "noonfall: 1, or a newer noonfall");
  return false;
}

bool too_many(const yaml::Field& field, std::size_t count, std::size_t most) {
  if (count <= most) return false;
  field.error("out-of-range", fmt::format("{} entries", count), fmt::format("at most {}", most));
  return true;
}

std::vector<Rig> read_rigs(const yaml::Field& field) {
  std::vector<Rig> rigs;
  if (!field) return rigs;
  const auto* mapping = std::get_if<yaml::Mapping>(&field.node().value);
  if (!mapping || mapping->entries.empty()) {
    field.error("wrong-kind",
                fmt::format("{} here", mapping ? "an empty mapping" : yaml::kind_of(field.node())),
                "a mapping of one rig or more, each under its name");
    return rigs;
  }
  if (too_many(field, mapping->entries.size(), most_rigs)) return rigs;
  for (const auto& entry : mapping->entries) rigs.push_back(read_rig(entry, field.findings()));
  return rigs;
}

std::vector<Step> read_steps(const yaml::Field& field) {
  std::vector<Step> steps;
  const auto items = yaml::read_list(field, "a list of one step or more");
  if (too_many(field, items.size(), most_entries)) return steps;
  for (const auto& item : items) steps.push_back(read_step(item));
  return steps;
}

std::vector<Cue> read_cues(const yaml::Field& field) {
  std::vector<Cue> cues;
  const auto items = yaml::read_list(field, "a list of cues, each with at and say");
  if (too_many(field, items.size(), most_entries)) return cues;
  for (const auto& item : items) {
    yaml::MapReader map{item, "a cue"};
    auto at = read_instant(map.required("at"));
    auto say = read_cue_words(map.required("say"));
    map.finish();
    cues.push_back({at.value_or(Instant{}), say.value_or(""), item.mark()});
  }
  return cues;
}

VoiceChoice read_voice(const yaml::Field& field) {
  VoiceChoice voice;
  if (!field) return voice;
  yaml::MapReader map{field, "the voice"};
  voice.language = yaml::read_choice(map.optional("language"), languages).value_or(Language::english);
  constexpr yaml::Choice<bool> yes_or_no[] = {{"true", true}, {"false", false}};
  voice.countdown = yaml::read_choice(map.optional("countdown"), yes_or_no).value_or(false);
  map.finish();
  return voice;
}

Plan read_plan(yaml::MapReader& map) {
  Plan plan;
  plan.title =
      yaml::read_line(map.optional("title"), longest_title, "a title of at most 200 characters").value_or("");
  const auto eclipse = map.required("eclipse");
  plan.eclipse_mark = eclipse.mark();
  plan.eclipse = yaml::read_as(eclipse, parse_date, "the UTC date of greatest eclipse, like 2027-08-02")
                     .value_or(Date{});
  plan.site = read_site(map.required("site"));
  plan.dut1 = read_earth(map.optional("earth"));
  plan.sky = read_sky(map.optional("sky"));
  plan.rigs = read_rigs(map.required("rigs"));
  plan.steps = read_steps(map.required("steps"));
  plan.cues = read_cues(map.optional("cues"));
  plan.voice = read_voice(map.optional("voice"));
  map.finish();
  return plan;
}

}  // namespace

Result<Plan> parse(std::string_view text) {
  const auto document = yaml::read(text);
  if (!document) return fail(document.error());
  Diagnostics findings;
  yaml::MapReader map{*document, "the plan", findings};
  if (!is_our_version(map.required("noonfall"))) return fail(std::move(findings));
  auto plan = read_plan(map);
  const auto wrong = wrong_references(plan);
  findings.insert(findings.end(), wrong.begin(), wrong.end());
  if (!findings.empty()) return fail(first_by_place(std::move(findings), most_errors));
  return plan;
}

}  // namespace noonfall::plan
