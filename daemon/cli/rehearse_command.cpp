#include "daemon/cli/commands.h"

#include <memory>
#include <optional>
#include <ostream>
#include <string>
#include <string_view>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "daemon/cli/rehearse_frames.h"
#include "daemon/cli/rehearse_odds.h"
#include "daemon/command_line/within.h"
#include "daemon/load/plan_loading.h"
#include "daemon/load/time_zone.h"
#include "daemon/pictures/frames.h"
#include "daemon/posix/text_file.h"
#include "lib/base/number.h"
#include "lib/base/plain_text.h"
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
  std::string detune;
  std::string faults;
  std::string log;
  FramesRequest frames;
  TrialsRequest trials;
};

struct PaceRange {
  double fastest = 0.8;
  double slowest = 1.25;
};

/// "1.3" or "0.8..1.25".
std::optional<PaceRange> parse_pace(std::string_view text) {
  constexpr std::string_view between = "..";
  const auto at = text.find(between);
  const bool single = at == std::string_view::npos;
  const auto low = parse_decimal(text.substr(0, at));
  const auto high = single ? low : parse_decimal(text.substr(at + between.size()));
  if (!low || !high || *low < 0.7 || *high > 1.3 || *high < *low) return std::nullopt;
  return PaceRange{*low, *high};
}

/// The pace of the bodies, or empty after saying what is wrong with it.
std::optional<PaceRange> read_pace(const Options& options, Context& context) {
  const bool many = options.trials.trials > 0;
  if (options.detune.empty()) return many ? PaceRange{} : PaceRange{1, 1};
  const auto pace = parse_pace(options.detune);
  if (pace && (many || pace->fastest == pace->slowest)) return pace;
  context.err << fmt::format("noonfall: --detune: \"{}\" is {}\n", plain_line(options.detune),
                             pace ? "a range, which needs --trials; wanted one number from 0.7 to 1.3"
                                  : "no number from 0.7 to 1.3, nor a range of them like 0.8..1.25");
  context.exit = Exit::bad_command_line;
  return std::nullopt;
}

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
  const auto pace = read_pace(options, context);
  if (!pace) return;
  auto loaded = load::load_plan(options.source);
  context.err << to_text(loaded.findings);
  if (!loaded.timeline) {
    context.exit = loaded.exit;
    return;
  }
  if (options.trials.trials > 0) {
    auto trials = options.trials;
    trials.chances.seed = options.seed;
    trials.chances.fastest = pace->fastest;
    trials.chances.slowest = pace->slowest;
    return rehearse_odds(trials, *loaded.timeline, {}, context);
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
  setup.detune = pace->fastest;
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

/// Returns --trials.
CLI::Option* add_trials_options(CLI::App& command, TrialsRequest& request) {
  auto* trials = command
                     .add_option("--trials", request.trials,
                                 "Rehearse so often, each time with other luck, pace, contacts and faults: "
                                 "how likely is it to come home with the pictures?")
                     ->check(command_line::within(1, 100'000));
  auto& rates = request.chances.rates;
  const auto add_rate = [&](const char* name, double& rate, const char* what, double most) {
    command.add_option(name, rate, what)
        ->check(command_line::within(0, most))
        ->capture_default_str()
        ->needs(trials);
  };
  add_rate("--lost-frame", rates.lost_frame, "Trials: share of the frames that get lost", 0.5);
  add_rate("--gone", rates.gone_an_hour, "Trials: how often a body goes for 10 s, an hour and rig", 20);
  add_rate("--slow-card", rates.slow_card_an_hour,
           "Trials: how often a card is slow for a minute, an hour and rig", 20);
  command.add_option("--threads", request.threads, "Trials at a time; default: as the machine has cores")
      ->check(command_line::within(1, 256))
      ->needs(trials);
  command.add_flag("--json", request.json, "Trials: one JSON object instead of the table")->needs(trials);
  return trials;
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
                   "The bodies' own times over their profiles': 1.3 is slower than measured; with --trials a "
                   "range, by default 0.8..1.25")
      ->type_name("FACTOR");
  auto* faults = command->add_option("--faults", options->faults, "A fault script (YAML)");
  auto* log = command->add_option("--log", options->log, "Write the shot log to this file");
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
  auto* trials = add_trials_options(*command, options->trials);
  for (auto* single : {faults, log, frames}) trials->excludes(single);
  command->add_option("--bodies", options->source.bodies, "A folder of further body profiles");
  load::add_limb_options(*command, options->source.limb);
  command->callback([options, &context] { rehearse(*options, context); });
}

}  // namespace noonfall::cli
