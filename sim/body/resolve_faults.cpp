#include <algorithm>
#include <optional>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/base/nearest_word.h"
#include "lib/plan/resolve.h"
#include "lib/yaml/reader.h"
#include "sim/body/fault_script.h"

namespace noonfall::sim {
namespace {

Diagnostic unknown_rig(const ScriptedFault& scripted, std::span<const std::string> rigs) {
  const std::vector<std::string_view> names(rigs.begin(), rigs.end());
  const auto nearest = nearest_word(scripted.rig, names);
  return error_at(scripted.rig_mark, "unknown-rig", fmt::format("the plan has no rig \"{}\"", scripted.rig),
                  nearest.empty() ? fmt::format("one of {}", fmt::join(names, ", ")) : nearest);
}

Diagnostic never_comes(const ScriptedFault& scripted) {
  return error_at(scripted.from.mark, "instant-missing",
                  "this instant doesn't come at the site: no such contact, or no totality",
                  "a contact that happens, or an instant like 2027-08-02T08:45:00Z");
}

Fault placed(const ScriptedFault& scripted, Utc from) {
  Fault fault{from, Utc::max(), std::nullopt, scripted.effect};
  if (const auto* span = std::get_if<Duration>(&scripted.extent)) fault.until = from + *span;
  if (const auto* count = std::get_if<int>(&scripted.extent)) fault.count = *count;
  return fault;
}

}  // namespace

Result<std::vector<std::vector<Fault>>> resolve_faults(std::span<const ScriptedFault> script,
                                                       const contacts::Circumstances& sky,
                                                       std::span<const std::string> rigs) {
  std::vector<std::vector<Fault>> faults(rigs.size());
  Diagnostics findings;
  for (const auto& scripted : script) {
    const auto rig = std::ranges::find(rigs, scripted.rig);
    const auto from = plan::resolve(scripted.from, sky);
    if (rig == rigs.end()) findings.push_back(unknown_rig(scripted, rigs));
    if (!from) findings.push_back(never_comes(scripted));
    if (rig == rigs.end() || !from) continue;
    faults[static_cast<std::size_t>(rig - rigs.begin())].push_back(placed(scripted, *from));
  }
  if (!findings.empty()) return fail(first_by_place(std::move(findings), yaml::most_errors));
  return faults;
}

Result<std::vector<std::vector<Fault>>> read_faults(std::string_view text, const contacts::Circumstances& sky,
                                                    std::span<const std::string> rigs) {
  return parse_fault_script(text).and_then(
      [&](const std::vector<ScriptedFault>& script) { return resolve_faults(script, sky, rigs); });
}

}  // namespace noonfall::sim
