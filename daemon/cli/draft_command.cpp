#include <algorithm>
#include <istream>
#include <limits>
#include <map>
#include <memory>
#include <ostream>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <CLI/CLI.hpp>

#include "daemon/cli/commands.h"
#include "daemon/cli/eclipse_choice.h"
#include "daemon/cli/gear_text.h"
#include "daemon/cli/site_text.h"
#include "daemon/load/body_profiles.h"
#include "daemon/load/geoid.h"
#include "daemon/load/limb_data.h"
#include "daemon/load/plan_loading.h"
#include "daemon/load/time_zone.h"
#include "daemon/posix/text_file.h"
#include "lib/base/number.h"
#include "lib/base/plain_text.h"
#include "lib/draft/draft.h"
#include "lib/limb/beads.h"
#include "lib/plan/print.h"

namespace noonfall::cli {
namespace {

struct Options {
  EclipseRequest eclipse;
  std::string at;
  std::string horizon;
  std::string zone;
  std::string bodies;
  std::string out;
  bool by_hand = false;
  load::LimbRequest limb;
  std::map<std::string, std::vector<std::string>> gear;  // by option, in the order of the line
};

struct Question {
  const char* option;
  const char* ask;
  const char* usual;
  const char* why;
};

// In the order in which they are asked.
constexpr Question about_sky[] = {
    {"DATE", "UTC date of the eclipse", "2027-08-02", "everything hangs on its contacts"},
    {"--at", "Site: latitude,longitude,elevation", "36.0139,-5.6033,12",
     "degrees, north and east positive; seconds of totality depend on it"},
    {"--horizon", "Height of what hides the sky where the Sun goes", "0",
     "degrees; no frames while the Sun is behind a hill"},
    {"--zone", "Time zone of the place, such as Europe/Madrid", "UTC", "what a sheet for the field goes by"}};
constexpr Question about_gear[] = {
    {"--body", "Body profile", "mirrorless-12", "how fast the camera is; `by-hand` for one without a cable"},
    {"--focal", "Focal length", "600mm", "how large the Sun is in the frame"},
    {"--aperture", "F-number", "f/8", "exposures follow from it"},
    {"--filter", "Density of the solar filter", "5.0",
     "printed on it; none for a wide lens on the landscape"},
    {"--mount", "Mount, fixed or tracking", "fixed",
     "a fixed one can't expose long, and hands must follow the Sun"},
    {"--sensor", "Sensor, width x height", "35.9x23.9mm", "when the Sun leaves the frame of a fixed mount"},
    {"--pixel", "Pixel size", "5.9um", "how soon the Sun trails, and how much light a pixel holds"}};

class Run {
 public:
  Run(Options& options, const CLI::App& command, Context& context)
      : options_{options}, command_{command}, context_{context} {}

  void operator()() {
    if (!fill_in()) return;
    const auto elements = choose_eclipse(options_.eclipse);
    if (!elements) return refuse_with(elements.error().exit, elements.error().text);
    const auto bodies = load::read_body_profiles(options_.bodies);
    if (has_errors(bodies.findings))
      return refuse_with(bodies.readable ? Exit::work_has_errors : Exit::environment,
                         to_text(bodies.findings));
    auto gear = read_gear(rigs_of_line(), bodies.profiles);
    if (!gear) return refuse_with(Exit::bad_command_line, gear.error());
    const auto site = parse_site(options_.at);
    if (!site) return refuse_site(site.error());
    const auto horizon = read_horizon();
    if (!horizon)
      return refuse(Exit::bad_command_line,
                    fmt::format("--horizon: \"{}\" isn't understood; wanted degrees from -5 to 60, like 4",
                                options_.horizon));
    write(*elements, *site, *horizon, std::move(*gear));
  }

 private:
  void refuse_with(Exit exit, const std::string& lines) {
    context_.err << lines;
    context_.exit = exit;
  }

  void refuse(Exit exit, const std::string& line) {
    refuse_with(exit, fmt::format("noonfall: {}\n", plain_line(line)));
  }

  void refuse_site(const Diagnostics& errors) {
    for (const auto& error : errors) refuse(Exit::work_has_errors, on_one_line(error));
    if (errors.front().code == "site-text") context_.exit = Exit::bad_command_line;
  }

  /// What the line lacks is asked for at a terminal; elsewhere it is named.
  bool fill_in() {
    std::vector<std::string> missing;
    for (const auto& question : about_sky) {
      const std::string_view option = question.option;
      const bool optional = option == "--horizon" || option == "--zone";
      if (optional && context_.ask == nullptr) continue;
      auto& value = option == "DATE"        ? options_.eclipse.date
                    : option == "--at"      ? options_.at
                    : option == "--horizon" ? options_.horizon
                                            : options_.zone;
      if (value.empty()) value = answer(question, missing);
    }
    if (rigs_of_line().size() == 1) {
      const bool by_hand = command_.count("--by-hand") > 0;
      for (const auto& question : about_gear) {
        const std::string_view option = question.option;
        const bool optional = option == "--mount" || option == "--sensor" || option == "--pixel";
        if (command_.count(question.option) > 0 || (optional && context_.ask == nullptr)) continue;
        if (by_hand && option == "--body") continue;
        asked_[question.option] = answer(question, missing);
      }
    }
    if (missing.empty()) return true;
    refuse(Exit::bad_command_line,
           fmt::format("draft lacks {}; at a terminal it asks for them", fmt::join(missing, ", ")));
    return false;
  }

  /// "4" or "4°".
  [[nodiscard]] std::optional<Degrees> read_horizon() const {
    constexpr std::string_view unit = "°";
    std::string_view text = options_.horizon;
    if (text.ends_with(unit)) text.remove_suffix(unit.size());
    const auto degrees = text.empty() ? std::optional{0.0} : parse_decimal(trim(text));
    if (!degrees || *degrees < -5 || *degrees > 60) return {};
    return Degrees{*degrees};
  }

  std::string answer(const Question& question, std::vector<std::string>& missing) {
    if (context_.ask == nullptr) {
      missing.emplace_back(question.option);
      return {};
    }
    context_.err << fmt::format("{} [{}] ({}): ", question.ask, question.usual, question.why) << std::flush;
    std::string line;
    if (!std::getline(*context_.ask, line)) context_.err << '\n';
    return line.empty() ? question.usual : line;
  }

  /// Each --rig begins one; what stands before the first is everybody's.
  [[nodiscard]] std::vector<GearText> rigs_of_line() const {
    GearText common{asked_};
    std::vector<GearText> rigs;
    std::map<std::string, std::size_t> seen;
    for (const auto* option : command_.parse_order()) {
      const auto name = option->get_name();
      const auto known = options_.gear.find(name);
      if (name == "--by-hand") (rigs.empty() ? common : rigs.back())["--by-hand"] = "yes";
      if (known == options_.gear.end()) continue;
      const auto value = known->second.at(seen[name]++);
      if (name == "--rig") {
        rigs.push_back(common);
      }
      (rigs.empty() ? common : rigs.back())[name] = value;
    }
    return rigs.empty() ? std::vector{common} : rigs;
  }

  void write(const contacts::Elements& elements, const contacts::Site& given, Degrees horizon,
             std::vector<draft::Gear> gear) {
    const auto limb = load::find_limb_data(options_.limb);
    if (!limb) return refuse_with(limb.error().exit, to_text(limb.error().why));
    if (options_.zone == "UTC") options_.zone.clear();
    if (!options_.zone.empty() && !load::find_zone(options_.zone))
      return refuse(
          Exit::bad_command_line,
          fmt::format("no time zone \"{}\" here; wanted a name such as Europe/Madrid", options_.zone));
    auto settings = contacts::settings_for(
        context_.leap_seconds, to_utc(elements.greatest(), context_.leap_seconds), options_.eclipse.dut1());
    load::use_limb(*limb, settings);
    const auto placed = load::place(given, load::HeightDatum::sea_level, load::Geoid{});
    settings.geoid_error = placed.geoid_error;
    const auto found = load::contacts_with(*limb, elements, placed.site, settings);
    const auto& sky = found.circumstances;
    plan::SitePlace site{.latitude = given.latitude,
                         .longitude = given.longitude,
                         .elevation = given.height,
                         .zone = options_.zone,
                         .mark = {}};
    if (horizon != Degrees{0}) site.horizon = horizon;
    constexpr std::size_t all = std::numeric_limits<std::size_t>::max();
    const auto beads_last = std::max(limb::reach_of(limb::beads(found, contacts::ContactName::c2), all),
                                     limb::reach_of(limb::beads(found, contacts::ContactName::c3), all));
    const auto drafted =
        draft::draft({site, std::move(gear), found.edges ? std::optional{beads_last} : std::nullopt}, sky);
    if (!drafted) {
      const auto over = site.horizon ? fmt::format(" of {:g}°", horizon.value) : std::string{};
      return refuse(Exit::work_has_errors,
                    fmt::format("nothing of the eclipse of {} is above the horizon{} at {}",
                                to_text(elements.date), over, options_.at));
    }
    if (const auto away = load::outside_path(elements, sky, settings)) {
      context_.err << fmt::format("noonfall: {}: this is a plan for what is partial there{}\n", away->how_far,
                                  away->sign.empty() ? "" : "; " + away->sign);
    }
    auto plan = drafted->plan;
    plan.dut1 = options_.eclipse.dut1();
    const auto text = plan::print(plan, drafted->comments);
    if (options_.out.empty()) {
      context_.out << text;
      return;
    }
    const auto written = posix::write_text_file(options_.out, text);
    if (!written) return refuse_with(Exit::environment, to_text(written.error()));
    if (context_.ask != nullptr)
      context_.err << fmt::format("{} is written; next: noonfall check {}\n", options_.out, options_.out);
  }

  Options& options_;
  const CLI::App& command_;
  Context& context_;
  GearText asked_;
};

}  // namespace

void add_draft_command(CLI::App& app, Context& context) {
  auto* command = app.add_subcommand("draft", "Write a commented plan for your gear at a site");
  auto options = std::make_shared<Options>();
  add_eclipse_options(*command, options->eclipse);
  command->get_option("DATE")->required(false);
  command->add_option("--at", options->at, "Site in degrees and metres, north and east positive")
      ->type_name("LAT,LON[,ELEV]");
  const auto of_rig = [&](const char* name, const char* words, const char* type) {
    command->add_option(name, options->gear[name], words)
        ->type_name(type)
        ->allow_extra_args(false)
        ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
  };
  of_rig("--rig", "Begins a rig of this name; options before the first are every rig's", "NAME");
  of_rig("--body", "Body profile, such as mirrorless-12, or one of --bodies", "PROFILE");
  of_rig("--focal", "Focal length, such as 600mm", "MM");
  of_rig("--aperture", "F-number, such as f/8", "F");
  of_rig("--filter", "Density of the solar filter, such as 5.0, or none", "DENSITY");
  of_rig("--mount", "fixed (the default) or tracking", "WORD");
  of_rig("--sensor", "Such as 35.9x23.9mm", "WxHmm");
  of_rig("--pixel", "Such as 5.9um; goes with --sensor", "UM");
  command->add_flag("--by-hand", options->by_hand, "Cues and a sheet, no cable");
  command->add_option("--horizon", options->horizon, "Height of a hill where the Sun goes, such as 4")
      ->type_name("DEG");
  command->add_option("--zone", options->zone, "Time zone of the place, such as Europe/Madrid")
      ->type_name("IANA");
  command->add_option("--bodies", options->bodies, "A folder of further body profiles")->type_name("DIR");
  command->add_option("--out", options->out, "Write to this file, which must not exist")->type_name("FILE");
  load::add_limb_options(*command, options->limb);
  command->callback([options, command, &context] { Run{*options, *command, context}(); });
}

}  // namespace noonfall::cli
