#include "daemon/cli/path_command.h"

#include <memory>
#include <ostream>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "daemon/cli/eclipse_choice.h"
#include "daemon/cli/path_output.h"
#include "daemon/command_line/within.h"
#include "lib/contacts/circumstances.h"

namespace noonfall::cli {
namespace {

struct Options {
  EclipseRequest eclipse;
  std::optional<double> solar_radius_arcsec;
  double step_s = 60;
  bool csv = false;
  bool geojson = false;
};

void refuse(Context& context, Exit exit, const std::string& lines) {
  context.err << lines;
  context.exit = exit;
}

contacts::Settings settings_of(const Options& options, const contacts::Elements& elements,
                               const LeapSeconds& leap_seconds) {
  auto settings =
      contacts::settings_for(leap_seconds, to_utc(elements.greatest(), leap_seconds), options.eclipse.dut1());
  if (options.solar_radius_arcsec) settings.solar_radius = Arcseconds{*options.solar_radius_arcsec};
  return settings;
}

bool reaches_earth(const contacts::Shadow& shadow) {
  return contacts::span_of(shadow, contacts::PathLine::north, {0}) ||
         contacts::span_of(shadow, contacts::PathLine::south, {0});
}

void run(const Options& options, Context& context) {
  if (options.csv == options.geojson)
    return refuse(context, Exit::bad_command_line, "noonfall: say how: --csv or --geojson\n");
  const auto elements = choose_eclipse(options.eclipse);
  if (!elements) return refuse(context, elements.error().exit, elements.error().text);
  const auto settings = settings_of(options, *elements, context.leap_seconds);
  const PathAnswer answer{
      *elements, settings, {*elements, delta_t_for(*elements, settings), settings.solar_radius}};
  if (!reaches_earth(answer.shadow)) {
    return refuse(
        context, Exit::work_has_errors,
        fmt::format("noonfall: the eclipse of {} is partial everywhere: the umbra misses the Earth, "
                    "so there is no path\n",
                    to_text(elements->date)));
  }
  context.out << (options.csv ? path_csv(answer, from_seconds(options.step_s)) : path_geojson(answer));
}

}  // namespace

void add_path_command(CLI::App& app, Context& context) {
  auto* command = app.add_subcommand("path", "Centre line and limits of an eclipse, for the mean limb");
  auto options = std::make_shared<Options>();
  add_eclipse_options(*command, options->eclipse);
  command->add_flag("--csv", options->csv, "A line for each step of time");
  command->add_flag("--geojson", options->geojson, "Lines for a map, as RFC 7946 has them");
  command->add_option("--step", options->step_s, "Time between lines of the CSV (default 60)")
      ->type_name("S")
      ->check(command_line::within(1, 3600));
  command->add_option("--solar-radius", options->solar_radius_arcsec, "Radius of the Sun at 1 au")
      ->type_name("ARCSEC")
      ->check(command_line::within(950, 970));
  command->callback([options, &context] { run(*options, context); });
}

}  // namespace noonfall::cli
