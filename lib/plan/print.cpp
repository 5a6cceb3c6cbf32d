#include "lib/plan/print.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/plan/instant_text.h"
#include "lib/plan/print_parts.h"
#include "lib/time/duration_text.h"
#include "lib/yaml/quoted.h"

namespace noonfall::plan {
namespace {

using yaml::quoted_if_needed;

std::string site_text(const SitePlace& site) {
  Braces braces;
  braces.add("latitude", decimal_text(site.latitude.value));
  braces.add("longitude", decimal_text(site.longitude.value));
  braces.add(site.ellipsoidal ? "ellipsoidal_height" : "elevation",
             decimal_text(site.elevation.value) + " m");
  if (site.position_error) braces.add("position_error", decimal_text(site.position_error->value) + " m");
  if (site.elevation_error) braces.add("elevation_error", decimal_text(site.elevation_error->value) + " m");
  if (site.horizon) braces.add("horizon", decimal_text(site.horizon->value) + "°");
  if (!site.zone.empty()) braces.add("zone", quoted_if_needed(site.zone));
  return braces.text();
}

std::string cue_text(const Cue& cue) {
  Braces braces;
  braces.add("at", to_text(cue.at));
  braces.add("say", quoted_if_needed(cue.say));
  return fmt::format("  - {}\n", braces.text());
}

std::string voice_text(const VoiceChoice& voice) {
  constexpr const char* codes[] = {"en", "es", "fr", "de"};
  Braces braces;
  braces.add("language", codes[static_cast<std::size_t>(voice.language)]);
  if (voice.countdown) braces.add("countdown", "true");
  return braces.text();
}

std::string of(const std::map<std::string, std::string>& comments, const std::string& name) {
  const auto found = comments.find(name);
  return found == comments.end() ? std::string{} : found->second;
}

/// Lines of at most 100 columns that begin with "# "; a newline stays one.
std::string commented(std::string_view words, std::size_t indent) {
  constexpr std::size_t widest = 100;
  std::string out;
  const auto begin = std::string(indent, ' ') + '#';
  std::string line = begin;
  const auto end_line = [&] {
    out += line + '\n';
    line = begin;
  };
  while (!words.empty()) {
    const auto end = std::min(words.find_first_of(" \n"), words.size());
    const auto word = words.substr(0, end);
    if (line.size() > begin.size() && line.size() + 1 + word.size() > widest) end_line();
    if (!word.empty()) line += ' ' + std::string{word};
    if (end < words.size() && words[end] == '\n') end_line();
    words.remove_prefix(std::min(end + 1, words.size()));
  }
  if (line.size() > begin.size()) end_line();
  return out;
}

}  // namespace

std::string print(const Plan& plan, const Comments& comments) {
  auto out = commented(comments.plan, 0);
  if (!out.empty()) out += '\n';
  out += "noonfall: 1\n";
  if (!plan.title.empty()) out += fmt::format("title: {}\n", quoted_if_needed(plan.title));
  out += fmt::format("eclipse: {}\nsite: {}\n", noonfall::to_text(plan.eclipse), site_text(plan.site));
  if (plan.dut1) out += fmt::format("earth: {{dut1: {}}}\n", noonfall::to_text(*plan.dut1));
  if (!plan.sky.counted) out += "sky: none\n";
  if (plan.sky.extinction)
    out += fmt::format("sky: {{extinction: {}}}\n", decimal_text(*plan.sky.extinction));
  if (plan.voice != VoiceChoice{}) out += fmt::format("voice: {}\n", voice_text(plan.voice));
  out += "\nrigs:\n";
  for (const auto& rig : plan.rigs) out += commented(of(comments.rigs, rig.name), 2) + print(rig);
  out += "\nsteps:\n";
  for (const auto& step : plan.steps) out += commented(of(comments.steps, step.name), 2) + print(step);
  if (!plan.cues.empty()) out += "\ncues:\n";
  for (const auto& cue : plan.cues) out += cue_text(cue);
  return out;
}

}  // namespace noonfall::plan
