#include <ostream>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "daemon/cameras/description_json.h"
#include "daemon/cameras/description_text.h"
#include "daemon/cameras/device_holders.h"
#include "daemon/cli/cameras_actions.h"
#include "lib/json/json.h"

namespace noonfall::cli {
namespace {

using cameras::Json;

std::vector<cameras::Holder> holders_of(const cameras::Unopened& unopened) {
  const auto device = cameras::device_file(unopened.port);
  return device ? cameras::holders_of(*device) : std::vector<cameras::Holder>{};
}

Json findings_json(const Diagnostics& findings) {
  auto list = Json::array();
  for (const auto& finding : findings) {
    list.push_back({{"severity", finding.severity == Severity::error ? "error" : "warning"},
                    {"code", finding.code},
                    {"message", finding.message},
                    {"hint", finding.hint}});
  }
  return list;
}

Json body_json(const body::Description& told) {
  auto json = cameras::to_json(told);
  json["obstacles"] = findings_json(obstacles(told));
  json["look_up"] = untold(told);
  return json;
}

Json unopened_json(const cameras::Unopened& unopened) {
  auto json = cameras::to_json(unopened);
  const auto holders = holders_of(unopened);
  json["holders"] = Json::array();
  for (const auto& holder : holders) json["holders"].push_back({{"pid", holder.pid}, {"name", holder.name}});
  json["hint"] = unopened.held || !holders.empty() ? cameras::cure(holders) : "";
  return json;
}

void print_json(const cameras::Found& found, const Diagnostics& errors, std::ostream& out) {
  Json json{{"bodies", Json::array()}, {"unopened", Json::array()}, {"errors", findings_json(errors)}};
  for (const auto& told : found.bodies) json["bodies"].push_back(body_json(told));
  for (const auto& unopened : found.unopened) json["unopened"].push_back(unopened_json(unopened));
  out << json::to_indented(json);
}

void print_text(const cameras::Found& found, const Diagnostics& errors, Context& context) {
  for (const auto& told : found.bodies) context.out << cameras::to_text(told);
  for (const auto& unopened : found.unopened) context.err << cameras::to_text(unopened, holders_of(unopened));
  context.err << to_text(errors);
}

/// A camera that can't be used is the environment's failure; one that is set wrongly, the run's.
Exit exit_of(const cameras::Found& found, const Diagnostics& errors) {
  if (!errors.empty() || !found.unopened.empty()) return Exit::environment;
  for (const auto& told : found.bodies) {
    if (has_errors(obstacles(told))) return Exit::work_has_errors;
  }
  return Exit::done;
}

}  // namespace

void list_cameras(const CamerasOptions& options, Context& context) {
  cameras::Found found;
  const auto ran = cameras::run_camera(camera_command(options, {"--list"}), [&](const cameras::Said& said) {
    if (const auto* told = std::get_if<body::Description>(&said)) found.bodies.push_back(*told);
    if (const auto* unopened = std::get_if<cameras::Unopened>(&said)) found.unopened.push_back(*unopened);
  });
  Diagnostics errors;
  if (!ran) errors = ran.error();
  if (ran && found.bodies.empty() && found.unopened.empty()) {
    errors.push_back(
        error_at({}, "no-camera", "no camera is on a cable",
                 "a body that is switched on, its cable plugged in at both ends (docs/cameras.md)"));
  }
  if (options.json)
    print_json(found, errors, context.out);
  else
    print_text(found, errors, context);
  context.exit = exit_of(found, errors);
}

}  // namespace noonfall::cli
