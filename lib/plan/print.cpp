#include "lib/plan/print.h"

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
  if (!site.zone.empty()) braces.add("zone", quoted_if_needed(site.zone));
  return braces.text();
}

std::string cue_text(const Cue& cue) {
  Braces braces;
  braces.add("at", to_text(cue.at));
  braces.add("say", quoted_if_needed(cue.say));
  return fmt::format("  - {}\n", braces.text());
}

}  // namespace

std::string print(const Plan& plan) {
  std::string out = "noonfall: 1\n";
  if (!plan.title.empty()) out += fmt::format("title: {}\n", quoted_if_needed(plan.title));
  out += fmt::format("eclipse: {}\nsite: {}\n", noonfall::to_text(plan.eclipse), site_text(plan.site));
  if (plan.dut1) out += fmt::format("earth: {{dut1: {}}}\n", noonfall::to_text(*plan.dut1));
  out += "\nrigs:\n";
  for (const auto& rig : plan.rigs) out += print(rig);
  out += "\nsteps:\n";
  for (const auto& step : plan.steps) out += print(step);
  if (!plan.cues.empty()) out += "\ncues:\n";
  for (const auto& cue : plan.cues) out += cue_text(cue);
  return out;
}

}  // namespace noonfall::plan
