#include "daemon/cli/commands.h"

#include <cmath>
#include <memory>
#include <ostream>

#include <fmt/format.h>
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#include "lib/json/json.h"

namespace noonfall::cli {
namespace {

using contacts::Elements;

struct Options {
  int from = 0;
  int to = 9999;
  bool json = false;
};

std::vector<const Elements*> chosen(const Options& options) {
  std::vector<const Elements*> eclipses;
  for (const auto& each : contacts::built_in_elements()) {
    const int year = static_cast<int>(each.date.year());
    if (year >= options.from && year <= options.to) eclipses.push_back(&each);
  }
  return eclipses;
}

/// Near the poles the shadow's edge may touch the Earth while its axis passes by.
bool axis_misses_earth(const Elements& eclipse) {
  constexpr double polar_limit = 0.9972;  // Five Millennium Canon of Solar Eclipses, NASA/TP-2006-214141, 1.2
  return eclipse.type != contacts::EclipseType::partial && std::abs(eclipse.gamma) > polar_limit;
}

Utc greatest_utc(const Elements& eclipse, const LeapSeconds& leaps) {
  contacts::Settings settings;
  settings.leap_seconds = leaps;
  return contacts::instant_at(eclipse, settings, eclipse.greatest_h - eclipse.t0_h);
}

nlohmann::ordered_json to_json(const Elements& eclipse, const LeapSeconds& leaps) {
  return {{"eclipse", to_text(eclipse.date)},
          {"kind", to_text(eclipse.type)},
          {"greatest_utc", to_text(greatest_utc(eclipse, leaps))},
          {"gamma", eclipse.gamma},
          {"central", eclipse.type != contacts::EclipseType::partial && !axis_misses_earth(eclipse)}};
}

std::string to_line(const Elements& eclipse, const LeapSeconds& leaps) {
  return fmt::format("{}  {:<8} {:>9}   {:>7.4f}{}\n", to_text(eclipse.date), to_text(eclipse.type),
                     to_clock_text(greatest_utc(eclipse, leaps), 0), eclipse.gamma,
                     axis_misses_earth(eclipse) ? "   shadow axis misses the Earth" : "");
}

void print_text(const std::vector<const Elements*>& eclipses, const Context& context) {
  context.out << "eclipse     kind      greatest     gamma\n"
                 "                          UTC\n";
  for (const auto* each : eclipses) context.out << to_line(*each, context.leap_seconds);
  context.out
      << "\ngamma: how far the shadow's axis passes from the Earth's centre, in Earth radii, north +\n";
}

void run(const Options& options, Context& context) {
  const auto eclipses = chosen(options);
  if (options.json) {
    auto list = nlohmann::ordered_json::array();
    for (const auto* each : eclipses) list.push_back(to_json(*each, context.leap_seconds));
    context.out << json::to_indented(list);
  } else if (eclipses.empty()) {
    const auto table = contacts::built_in_elements();
    context.err << fmt::format("noonfall: no eclipse in those years; the table runs from {} to {}\n",
                               to_text(table.front().date), to_text(table.back().date));
    context.exit = Exit::work_has_errors;
  } else {
    print_text(eclipses, context);
  }
}

}  // namespace

void add_eclipses_command(CLI::App& app, Context& context) {
  auto* command = app.add_subcommand("eclipses", "List the solar eclipses noonfall knows");
  auto options = std::make_shared<Options>();
  command->add_option("--from", options->from, "First year")->type_name("YEAR");
  command->add_option("--to", options->to, "Last year")->type_name("YEAR");
  command->add_flag("--json", options->json, "One JSON array");
  command->callback([options, &context] { run(*options, context); });
}

}  // namespace noonfall::cli
