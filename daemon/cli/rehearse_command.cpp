#include "daemon/cli/commands.h"

#include <memory>
#include <optional>
#include <ostream>
#include <string>

#include <CLI/CLI.hpp>

#include "daemon/cli/rehearse_frames.h"
#include "daemon/command_line/within.h"
#include "daemon/load/plan_loading.h"
#include "daemon/load/time_zone.h"
#include "daemon/pictures/frames.h"
#include "daemon/posix/text_file.h"
#include "lib/report/report.h"
#include "lib/shotlog/checksum.h"
#include "lib/shotlog/replay.h"
#include "sim/body/fault_script.h"
#include "sim/rehearse/rehearsal.h"

namespace noonfall::cli {
namespace {

struct Options {
  load::PlanSource source;
  std::uint64_t seed = 1;
  double detune = 1;
  std::string faults;
  std::string log;
  FramesRequest frames;
};

/// The faults of every rig, or empty after saying what is wrong with the script.
std::optional<std::vector<std::vector<sim::Fault>>> read_faults(const Options& options,
                                                                const timeline::Timeline& timeline,
                                                                Context& context) {
  if (options.faults.empty()) return std::vector<std::vector<sim::Fault>>{};
  const auto text = posix::read_text_file(options.faults, 1U << 20U);
  if (!text) {
    context.err << to_text(text.error());
    context.exit = Exit::environment;
    return std::nullopt;
  }
  std::vector<std::string> rigs;
  for (const auto& rig : timeline.rigs) rigs.push_back(rig.name);
  auto faults = sim::read_faults(*text, timeline.circumstances, rigs);
  if (faults) return std::move(*faults);
  attach_source(faults.error(), options.faults, *text);
  context.err << to_text(faults.error());
  context.exit = Exit::work_has_errors;
  return std::nullopt;
}

void rehearse(const Options& options, Context& context) {
  auto loaded = load::load_plan(options.source);
  context.err << to_text(loaded.findings);
  if (!loaded.timeline) {
    context.exit = loaded.exit;
    return;
  }
  auto faults = read_faults(options, *loaded.timeline, context);
  if (!faults) return;
  sim::RehearsalSetup setup;
  setup.timeline = std::move(*loaded.timeline);
  setup.facts.plan_hash = shotlog::sha256_text(loaded.text);
  for (const auto& rig : setup.timeline.rigs)
    setup.facts.serials.push_back(rig.by_hand ? "" : pictures::simulated_serial(rig.name));
  setup.facts.limb = contacts::to_text(loaded.basis.limb);
  setup.facts.solar_radius_arcsec = loaded.basis.solar_radius.value;
  setup.seed = options.seed;
  setup.detune = options.detune;
  setup.faults = std::move(*faults);
  const auto rehearsed = sim::rehearse(setup);
  if (!options.log.empty()) {
    const auto written = posix::write_text_file(options.log, rehearsed.log);
    if (!written) {
      context.err << to_text(written.error());
      context.exit = Exit::environment;
      return;
    }
  }
  const auto summary = report::summarise({rehearsed.lines, rehearsed.log.size(), false, {}});
  context.out << report::to_text(*summary, load::local_clock(setup.timeline.zone));
  if (summary->strayed()) context.exit = Exit::work_has_errors;
  if (options.frames.folder.empty()) return;
  auto frames = options.frames;
  frames.seed = options.seed;
  render_frames(frames, options.source, *loaded.plan, setup.timeline, rehearsed, context);
}

}  // namespace

void add_rehearse_command(CLI::App& app, Context& context) {
  auto options = std::make_shared<Options>();
  options->source.leap_seconds = context.leap_seconds;
  auto* command = app.add_subcommand("rehearse", "Shoot the whole plan in virtual time on simulated bodies");
  command->add_option("PLAN", options->source.path, "A plan (YAML)")->required();
  command->add_option("--seed", options->seed, "The luck of the simulated bodies")->capture_default_str();
  command
      ->add_option("--detune", options->detune,
                   "The bodies' own times over their profiles': 1.3 is slower than measured")
      ->check(command_line::within(0.7, 1.3))
      ->capture_default_str();
  command->add_option("--faults", options->faults, "A fault script (YAML)");
  command->add_option("--log", options->log, "Write the shot log to this file");
  auto* frames = command->add_option("--frames", options->frames.folder,
                                     "Render what each frame would look like into this folder");
  command->add_option("--frame-width", options->frames.width, "How wide the pictures are, pixels")
      ->check(command_line::within(60, 8000))
      ->capture_default_str()
      ->needs(frames);
  command->add_option("--frame-form", options->frames.form, "jpeg, or tiff: 16 bits of the light itself")
      ->check(CLI::IsMember({"jpeg", "tiff"}))
      ->capture_default_str()
      ->needs(frames);
  command
      ->add_flag("--stacks", options->frames.stacks,
                 "Also the mean of each exposure of a bracket, and all joined (TIFF)")
      ->needs(frames);
  command->add_option("--bodies", options->source.bodies, "A folder of further body profiles");
  load::add_limb_options(*command, options->source.limb);
  command->callback([options, &context] { rehearse(*options, context); });
}

}  // namespace noonfall::cli
