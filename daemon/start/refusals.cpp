#include "daemon/start/refusals.h"

#include <algorithm>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "lib/time/utc_text.h"

namespace noonfall::start {

using command_line::Exit;

namespace {

/// When the last of it is over; empty for a plan without anything.
std::optional<Utc> end_of(const timeline::Timeline& timeline) {
  std::optional<Utc> end;
  const auto count = [&](Utc instant) { end = std::max(end.value_or(instant), instant); };
  for (const auto& cue : timeline.cues) count(cue.ends);
  for (const auto& rig : timeline.rigs) {
    if (rig.window) count(rig.window->closes);
    for (const auto& step : rig.steps) count(step.until);
  }
  return end;
}

}  // namespace

std::optional<Diagnostic> nothing_to_come(const timeline::Timeline& timeline, Utc now) {
  const auto end = end_of(timeline);
  if (!end || *end > now) return std::nullopt;
  return error_at({}, "all-past",
                  fmt::format("nothing of this plan is still to come: it ended {} UTC, and this computer's "
                              "clock says {} UTC",
                              to_minutes(*end), to_minutes(now)),
                  "a clock that is right; or, to rehearse, --move C2=+5min");
}

Diagnostics not_taken(const RunRequest& request, const journal::RunSettings& begun,
                      const std::string& folder) {
  Diagnostics warnings;
  const auto warn = [&](bool given, const char* option) {
    if (!given) return;
    warnings.push_back(warning_at(
        {}, "as-begun", fmt::format("a run in {} goes on as it was begun: {} is not taken", folder, option),
        begun.mode == shotlog::Mode::event ? "" : "--afresh to begin another"));
  };
  warn(!request.move.empty(), "--move");
  const bool other_bodies = request.wire != (begun.bodies == journal::Bodies::wire);
  warn(request.simulate && other_bodies, request.wire ? "--simulate=wire" : "--simulate without wire");
  warn(request.speed && *request.speed != begun.speed, "--speed");
  warn(request.seed && request.seed != begun.seed, "--seed");
  warn(request.detune && *request.detune != begun.detune, "--detune");
  warn(!request.faults.empty(), "--faults");
  warn(!request.amend && !request.limb.limb.empty(), "--limb");
  warn(!request.amend && !request.limb.data.empty(), "--limb-data");
  return warnings;
}

command_line::Checked check_bodies(const plan::Plan& plan, OnCables cables) {
  command_line::Refusal refusal{.why = {}, .exit = Exit::environment};
  std::map<std::string, std::string> rig_of;  // by serial number
  const auto refuse_plan = [&](const plan::Rig& rig, const char* code, std::string message,
                               const char* hint) {
    refusal.exit = Exit::work_has_errors;
    refusal.why.push_back(error_at(rig.body_mark, code, std::move(message), hint));
  };
  for (const auto& rig : plan.rigs) {
    if (std::holds_alternative<plan::ByHand>(rig.body)) continue;
    const auto* cabled = std::get_if<plan::CabledBody>(&rig.body);
    if (cabled == nullptr) {
      refuse_plan(rig, "simulated-body", fmt::format("the body of {} is a simulated one", rig.name),
                  "--simulate, or a body with its serial number in the plan");
    } else if (const auto [other, is_new] = rig_of.emplace(cabled->serial, rig.name); !is_new) {
      refuse_plan(rig, "same-serial",
                  fmt::format("{} and {} have the same body, {}", other->second, rig.name, cabled->serial),
                  "a serial number of its own for each rig");
    } else if (cables == OnCables::not_driven) {
      refusal.why.push_back(
          error_at(rig.body_mark, "no-driver",
                   fmt::format("this noonfalld was built without libgphoto2: it can't drive the camera of {}",
                               rig.name),
                   "one built where libgphoto2-dev is installed, --simulate, or `body: by hand`"));
    }
  }
  for (const auto& rig : plan.rigs) {
    const auto* cabled = std::get_if<plan::CabledBody>(&rig.body);
    if (cabled != nullptr && !cabled->spare.empty() && !rig_of.emplace(cabled->spare, rig.name).second)
      refuse_plan(rig, "spare-not-free",
                  fmt::format("the spare of {}, {}, has a place", rig.name, cabled->spare),
                  "a body that no rig names otherwise");
  }
  if (refusal.why.empty()) return {};
  return tl::unexpected{std::move(refusal)};
}

command_line::Checked check_wire(const RunRequest& request) {
  if (!request.wire) return {};
  if (request.speed.value_or(1) != 1) {
    return command_line::refuse(
        {error_at({}, "wire-speed",
                  "--simulate=wire goes at the pace of the camera library, which can't be hurried",
                  "the same without --speed")},
        Exit::bad_command_line);
  }
  if (request.can_drive) return {};
  return command_line::refuse(
      {error_at({}, "no-driver",
                "this noonfalld was built without libgphoto2: nothing is there to drive bodies by wire",
                "--simulate, or a noonfalld built where libgphoto2-dev is installed")},
      Exit::environment);
}

}  // namespace noonfall::start
