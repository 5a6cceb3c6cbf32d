#include <algorithm>
#include <optional>
#include <ostream>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "daemon/cameras/description_json.h"
#include "daemon/cameras/description_text.h"
#include "daemon/cli/cameras_actions.h"
#include "daemon/load/plan_loading.h"
#include "lib/body/model.h"
#include "lib/body/profile_text.h"
#include "lib/json/json.h"

namespace noonfall::cli {
namespace {

using cameras::Json;
using cameras::SettingsTrial;

struct TriedRig {
  std::string name;
  body::Demand demand;
  std::optional<body::Description> told = {};
  std::vector<SettingsTrial> trials = {};
  Diagnostics errors = {};

  [[nodiscard]] bool all_as_asked() const {
    return std::all_of(trials.begin(), trials.end(),
                       [](const SettingsTrial& trial) { return trial.as_asked(); });
  }
};

/// Every combination the rig's steps use, in the order of its first use.
std::vector<rig::SettingsCall> settings_of(const timeline::RigTimeline& planned) {
  std::vector<rig::SettingsCall> list;
  for (const auto& step : planned.steps) {
    const auto add = [&](const rig::SettingsCall& call) {
      if (std::find(list.begin(), list.end(), call) == list.end()) list.push_back(call);
    };
    for (const auto& shape : step.shapes) {
      if (step.drive == body::Drive::bracket) {
        add(rig::bracket_call(shape.exposures));
      } else {
        for (const auto& exposure : shape.exposures) add({exposure, step.drive});
      }
    }
  }
  return list;
}

body::Demand demand_of(const timeline::RigTimeline& planned) {
  return {planned.files,
          {planned.predicted_frames() * body::frame_size(planned.profile, planned.files).value}};
}

/// The process that tries them. A simulated body is simulated from its profile's text, which may be anywhere.
cameras::CameraCommand command_for(const plan::Rig& rig, const timeline::RigTimeline& planned,
                                   CamerasOptions options) {
  const auto* cabled = std::get_if<plan::CabledBody>(&rig.body);
  if (cabled != nullptr) return camera_command(options, {"--try", cabled->serial});
  options.files = body::to_text(planned.files);
  auto command = camera_command(options, {"--try", "simulated"});
  command.profile = body::to_text(planned.profile);
  return command;
}

TriedRig try_rig(const plan::Rig& rig, const timeline::RigTimeline& planned, const CamerasOptions& options,
                 ProgressLine& progress) {
  const auto wanted = settings_of(planned);
  TriedRig tried{.name = rig.name, .demand = demand_of(planned)};
  auto command = command_for(rig, planned, options);
  for (const auto& call : wanted) command.input += cameras::encode(call);
  const auto ran = cameras::run_camera(command, [&](const cameras::Said& said) {
    if (const auto* told = std::get_if<body::Description>(&said)) tried.told = *told;
    if (const auto* trial = std::get_if<SettingsTrial>(&said)) {
      tried.trials.push_back(*trial);
      progress.show(rig.name, static_cast<int>(tried.trials.size()), static_cast<int>(wanted.size()),
                    "settings");
    }
  });
  progress.end();
  if (!ran) tried.errors = ran.error();
  return tried;
}

Json settings_json(const rig::SettingsCall& call) {
  const auto& [shutter, aperture, iso] = call.exposure;
  return {{"shutter", exposure::to_text(shutter)},
          {"aperture", aperture ? Json(exposure::to_text(*aperture)) : Json(nullptr)},
          {"iso", iso.value},
          {"drive", body::to_text(call.drive)}};
}

Json trial_json(const SettingsTrial& trial) {
  auto chosen = Json::array();
  for (const auto& one : trial.choices) {
    chosen.push_back(
        {{"asked", one.asked}, {"choice", one.choice.empty() ? Json(nullptr) : Json(one.choice)}});
  }
  return {{"asked", settings_json(trial.asked)},     {"chosen", chosen},
          {"read_back", settings_json(trial.shown)}, {"as_asked", trial.as_asked()},
          {"took_ms", in_milliseconds(trial.took)},  {"why", trial.why}};
}

Json findings_json(const Diagnostics& findings) {
  auto list = Json::array();
  for (const auto& finding : findings)
    list.push_back({{"code", finding.code}, {"message", finding.message}, {"hint", finding.hint}});
  return list;
}

Json rig_json(const TriedRig& tried) {
  auto settings = Json::array();
  for (const auto& trial : tried.trials) settings.push_back(trial_json(trial));
  return {{"rig", tried.name},
          {"serial", tried.told ? Json(tried.told->serial) : Json(nullptr)},
          {"settings", settings},
          {"obstacles", findings_json(tried.told ? obstacles(*tried.told, tried.demand) : Diagnostics{})},
          {"errors", findings_json(tried.errors)}};
}

void print(const TriedRig& tried, Context& context) {
  context.out << fmt::format("{}:\n", tried.name);
  if (tried.told) context.out << cameras::to_text(*tried.told, tried.demand);
  if (!tried.trials.empty()) context.out << cameras::to_text(tried.trials);
  const auto wrong = std::count_if(tried.trials.begin(), tried.trials.end(),
                                   [](const SettingsTrial& trial) { return !trial.as_asked(); });
  context.out << fmt::format("  {} of {} settings can be made\n",
                             tried.trials.size() - static_cast<std::size_t>(wrong), tried.trials.size())
              << std::flush;
  context.err << to_text(tried.errors);
}

Exit exit_of(const std::vector<TriedRig>& rigs) {
  auto exit = Exit::done;
  for (const auto& tried : rigs) {
    if (!tried.errors.empty()) return Exit::environment;
    if (!tried.all_as_asked() || (tried.told && has_errors(obstacles(*tried.told, tried.demand))))
      exit = Exit::work_has_errors;
  }
  return exit;
}

}  // namespace

void try_plan(const CamerasOptions& options, Context& context) {
  const auto loaded = load::load_plan({options.try_plan, options.bodies, context.leap_seconds, {}});
  context.err << to_text(loaded.findings);
  context.exit = loaded.exit;
  if (!loaded.timeline) return;
  ProgressLine progress{context.err};
  std::vector<TriedRig> rigs;
  for (std::size_t n = 0; n < loaded.timeline->rigs.size(); ++n) {
    const auto& planned = loaded.timeline->rigs[n];
    const auto& rigs_of_plan = loaded.plan->rigs;
    const auto rig = std::find_if(rigs_of_plan.begin(), rigs_of_plan.end(),
                                  [&](const plan::Rig& each) { return each.name == planned.name; });
    if (planned.by_hand || rig == rigs_of_plan.end()) continue;
    rigs.push_back(try_rig(*rig, planned, options, progress));
    if (!options.json) print(rigs.back(), context);
  }
  if (options.json) {
    auto json = Json::array();
    for (const auto& tried : rigs) json.push_back(rig_json(tried));
    context.out << json::to_indented({{"rigs", json}});
  }
  context.exit = exit_of(rigs);
}

}  // namespace noonfall::cli
