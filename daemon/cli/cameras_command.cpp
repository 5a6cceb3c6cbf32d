#include "daemon/cli/commands.h"

#include <memory>

#include <CLI/CLI.hpp>

#include "daemon/cli/cameras_actions.h"
#include "daemon/posix/process.h"
#include "lib/base/plain_text.h"

namespace noonfall::cli {

cameras::CameraCommand camera_command(const CamerasOptions& options, std::vector<std::string> mode) {
  cameras::CameraCommand command{options.camera, std::move(mode)};
  if (!options.simulate.empty())
    command.arguments.insert(command.arguments.end(), {"--simulate", options.simulate});
  if (!options.files.empty()) command.arguments.insert(command.arguments.end(), {"--files", options.files});
  return command;
}

void add_cameras_command(CLI::App& app, Context& context) {
  auto options = std::make_shared<CamerasOptions>();
  options->camera = posix::program_beside("noonfall-camera");
  auto* command = app.add_subcommand(
      "cameras", "Which bodies are there and what would stop a run; measure one; try a plan's settings");
  auto* measure = command->add_option("--measure", options->measure,
                                      "Shoot a short series with this body and write its profile");
  measure->type_name("SERIAL");
  command->add_option("--out", options->out, "The profile's file; without it, the screen")
      ->type_name("FILE")
      ->needs(measure);
  auto* plan = command->add_option("--try", options->try_plan,
                                   "Set everything that this plan needs on its bodies, and read it back");
  plan->type_name("PLAN")->excludes(measure);
  command->add_option("--bodies", options->bodies, "A folder of further body profiles")
      ->type_name("DIR")
      ->needs(plan);
  command->add_option("--simulate", options->simulate, "A simulated body instead of those on the cables")
      ->type_name("PROFILE")
      ->excludes(plan);
  command->add_flag("--json", options->json, "One JSON object");
  command->callback([options, &context] {
    if (!options->measure.empty()) return measure_camera(*options, context);
    if (!options->try_plan.empty()) return try_plan(*options, context);
    list_cameras(*options, context);
  });
}

}  // namespace noonfall::cli
