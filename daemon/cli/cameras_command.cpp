#include "daemon/cli/commands.h"

#include <memory>
#include <ostream>

#include <unistd.h>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "daemon/cli/cameras_actions.h"
#include "daemon/posix/process.h"
#include "lib/base/plain_text.h"

namespace noonfall::cli {

ProgressLine::ProgressLine(std::ostream& err) : err_{err}, terminal_{::isatty(STDERR_FILENO) == 1} {}

void ProgressLine::show(const std::string& part, int done, int of, const char* things) {
  const bool same = part == part_;
  part_ = part;
  if (terminal_) {
    const auto line = fmt::format("\r  {} of {} {}: {:<24}", done, of, things, plain_line(part));
    [[maybe_unused]] const auto written = ::write(STDERR_FILENO, line.data(), line.size());
  } else if (!same) {
    err_ << fmt::format("  {} of {} {}: {}\n", done, of, things, part) << std::flush;
  }
}

void ProgressLine::end() {
  if (terminal_ && !part_.empty()) err_ << '\n' << std::flush;
  part_.clear();
}

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
