#include "daemon/cli/commands.h"

#include <memory>
#include <ostream>
#include <thread>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "daemon/cli/contacts_output.h"
#include "daemon/cli/eclipse_choice.h"
#include "daemon/cli/limb_plot.h"
#include "daemon/cli/site_text.h"
#include "daemon/command_line/within.h"
#include "daemon/load/time_zone.h"
#include "daemon/posix/text_file.h"
#include "lib/base/plain_text.h"
#include "lib/contacts/parse_sites.h"

namespace noonfall::cli {
namespace {

using contacts::ContactName;
using contacts::Elements;

struct Options {
  EclipseRequest eclipse;
  std::string at;
  std::string sites;
  load::LimbRequest limb;
  std::string limb_plot;
  std::string ics;
  std::string zone;
  std::optional<double> solar_radius_arcsec;
  std::optional<double> position_error_m;
  std::optional<double> elevation_error_m;
  bool ellipsoidal = false;
  bool refraction = false;
  bool explain = false;
  bool beads = false;
  bool json = false;
  bool csv = false;
};

/// One command being run: says what went wrong and remembers how to exit.
class Run {
 public:
  Run(const Options& options, Context& context) : options_(options), context_(context) {}

  void operator()() {
    if (!options_fit()) return;
    const auto elements = choose_eclipse(options_.eclipse);
    if (!elements) {
      context_.err << elements.error().text;
      context_.exit = elements.error().exit;
      return;
    }
    const auto limb = find_limb();
    if (!limb) return;
    const auto settings = make_settings(*elements, *limb);
    if (options_.sites.empty()) {
      one_site(*elements, settings, *limb);
    } else {
      many_sites(*elements, settings, *limb);
    }
  }

 private:
  void refuse(Exit exit, const std::string& line) {
    context_.err << "noonfall: " << plain_line(line) << '\n';
    context_.exit = exit;
  }

  void refuse(Exit exit, const Diagnostics& findings) {
    context_.err << to_text(findings);
    context_.exit = exit;
  }

  bool options_fit() {
    const bool of_one = options_.beads || !options_.limb_plot.empty() || options_.json || options_.explain ||
                        !options_.zone.empty();
    if (options_.at.empty() == options_.sites.empty()) {
      refuse(Exit::bad_command_line,
             "say where: --at LAT,LON[,ELEV] for one site or --sites FILE.csv for many");
    } else if (options_.csv != !options_.sites.empty()) {
      refuse(Exit::bad_command_line, "--sites and --csv go together");
    } else if (options_.csv && of_one) {
      refuse(Exit::bad_command_line,
             "--beads, --limb-plot, --json, --explain and --zone are for one site, not for --sites");
    } else if (options_.limb.limb == "mean" && (options_.beads || !options_.limb_plot.empty())) {
      refuse(Exit::bad_command_line, "--beads and --limb-plot need the profile, not --limb mean");
    } else {
      return true;
    }
    return false;
  }

  /// Beads and plots are of the profile alone.
  std::optional<load::LimbData> find_limb() {
    auto request = options_.limb;
    if (options_.beads || !options_.limb_plot.empty()) request.limb = "profile";
    auto found = load::find_limb_data(request);
    if (found) return std::move(*found);
    refuse(found.error().exit, found.error().why);
    return std::nullopt;
  }

  contacts::Settings make_settings(const Elements& elements, const load::LimbData& limb) const {
    auto settings = contacts::settings_for(
        context_.leap_seconds, to_utc(elements.greatest(), context_.leap_seconds), options_.eclipse.dut1());
    load::use_limb(limb, settings);
    if (options_.solar_radius_arcsec) {
      settings.solar_radius = Arcseconds{*options_.solar_radius_arcsec};
      settings.solar_radius_error = Arcseconds{0};  // whoever names one wants the times that go with it
    }
    if (options_.position_error_m) settings.position_error = Metres{*options_.position_error_m};
    if (options_.elevation_error_m) settings.height_error = Metres{*options_.elevation_error_m};
    if (options_.refraction) settings.refraction = contacts::Refraction::applied;
    return settings;
  }

  load::HeightDatum datum() const {
    return options_.ellipsoidal ? load::HeightDatum::ellipsoid : load::HeightDatum::sea_level;
  }

  void one_site(const Elements& elements, contacts::Settings settings, const load::LimbData& limb) {
    std::optional<Zone> zone;
    if (!options_.zone.empty()) {
      auto found = load::find_zone(options_.zone);
      if (!found && found.error().front().code == "unknown-zone") {
        return refuse(
            Exit::bad_command_line,
            fmt::format("no time zone \"{}\" here; wanted a name such as Europe/Madrid", options_.zone));
      }
      if (!found) found.error().front().severity = Severity::warning;
      if (!found) context_.err << to_text(found.error());
      if (found) zone = std::move(*found);
    }
    const auto site = parse_site(options_.at);
    if (!site) return refuse_site(site.error());
    const auto placed = load::place(*site, datum(), load::Geoid{});
    settings.geoid_error = placed.geoid_error;
    ContactsAnswer answer{elements,  settings, load::contacts_with(limb, elements, placed.site, settings),
                          limb.path, placed,   {},
                          {}};
    if (answer.circumstances().kind != contacts::Kind::none)
      answer.path = on_path(elements, answer.circumstances(), settings);
    if (options_.beads)
      answer.beads = {beads(answer.limb, ContactName::c2), beads(answer.limb, ContactName::c3)};
    if (!options_.limb_plot.empty() && !write_plot(answer)) return;
    if (!options_.ics.empty() && !write_calendar(answer.circumstances())) return;
    if (options_.json) {
      context_.out << contacts_json(answer);
      return;
    }
    context_.out << contacts_text(answer, zone ? &*zone : nullptr,
                                  options_.explain ? Detail::explained : Detail::brief);
  }

  bool write_calendar(const contacts::Circumstances& sky) {
    if (sky.kind == contacts::Kind::none) {
      refuse(Exit::work_has_errors,
             fmt::format("the eclipse isn't seen at {}: there is nothing for a calendar", options_.at));
      return false;
    }
    const auto now = std::chrono::time_point_cast<Duration>(std::chrono::system_clock::now());
    const auto written = posix::write_text_file(options_.ics, contacts_ics(sky, Utc{now}));
    if (!written) refuse(Exit::environment, written.error());
    return written.has_value();
  }

  bool write_plot(const ContactsAnswer& answer) {
    if (answer.limb.spells.empty()) {
      refuse(Exit::work_has_errors,
             fmt::format("there is no C2 and C3 at {} to plot the Moon's edge for", options_.at));
      return false;
    }
    const auto written = posix::write_text_file(options_.limb_plot, limb_plot_svg(answer));
    if (!written) refuse(Exit::environment, written.error());
    return written.has_value();
  }

  void refuse_site(const Diagnostics& errors) {
    auto exit = Exit::work_has_errors;
    for (const auto& error : errors) {
      context_.err << fmt::format("noonfall: {}; wanted {}\n", error.message, error.hint);
      if (error.code == "site-text") exit = Exit::bad_command_line;
    }
    context_.exit = exit;
  }

  void many_sites(const Elements& elements, const contacts::Settings& settings, const load::LimbData& limb) {
    constexpr std::size_t most_bytes = 1U << 30U;
    const auto text = posix::read_text_file(options_.sites, most_bytes);
    if (!text) return refuse(Exit::environment, text.error());
    auto sites = contacts::parse_sites(*text, options_.sites);
    if (!sites) return refuse(Exit::work_has_errors, sites.error());
    const load::Geoid geoid;
    for (auto& site : *sites) site = load::place(site, datum(), geoid).site;
    if (limb.strip)
      context_.err << fmt::format(
          "noonfall: C2 and C3 with the lunar limb profile from {}; --limb mean is faster\n", limb.path);
    write_contacts_csv(context_.out, elements, settings, limb.strip.get(), *sites,
                       std::thread::hardware_concurrency());
  }

  const Options& options_;
  Context& context_;
};

}  // namespace

void add_contacts_command(CLI::App& app, Context& context) {
  auto* command = app.add_subcommand("contacts", "When an eclipse begins, peaks and ends at a site");
  auto options = std::make_shared<Options>();
  add_eclipse_options(*command, options->eclipse);
  command->add_option("--at", options->at, "Site in degrees and metres, north and east positive")
      ->type_name("LAT,LON[,ELEV]");
  command->add_option("--sites", options->sites, "Many sites: a CSV with latitude,longitude,elevation_m")
      ->type_name("FILE");
  command->add_flag("--csv", options->csv,
                    "With --sites: a header, then a line a site: kind,c1,c2,mid,c3,c4,magnitude,obscuration");
  command->add_flag("--json", options->json, "One JSON object");
  command->add_flag("--ellipsoidal", options->ellipsoidal, "Elevations are above the WGS84 ellipsoid");
  command->add_flag("--refraction", options->refraction,
                    "Have the bend of light near the horizon in the times; published tables don't");
  command->add_flag("--explain", options->explain, "Show every part of every contact's uncertainty");
  command->add_option("--position-error", options->position_error_m, "How far off the site may be (95 %)")
      ->type_name("M")
      ->check(command_line::within(0, 100'000));
  command->add_option("--elevation-error", options->elevation_error_m, "How far off its elevation (95 %)")
      ->type_name("M")
      ->check(command_line::within(0, 10'000));
  command->add_option("--solar-radius", options->solar_radius_arcsec, "Radius of the Sun at 1 au")
      ->type_name("ARCSEC")
      ->check(command_line::within(950, 970));
  load::add_limb_options(*command, options->limb);
  command->add_flag("--beads", options->beads, "List the beads of sunlight around C2 and C3");
  command->add_option("--limb-plot", options->limb_plot, "Draw the Moon's edge and the Sun's behind it")
      ->type_name("FILE.svg")
      ->check(command_line::named());
  command->add_option("--ics", options->ics, "Write the contacts to a calendar file (RFC 5545)")
      ->type_name("FILE.ics")
      ->check(command_line::named());
  command->add_option("--zone", options->zone, "Show local time too, such as Europe/Madrid")
      ->type_name("IANA")
      ->check(command_line::named());
  command->callback([options, &context] { Run{*options, context}(); });
}

}  // namespace noonfall::cli
