#include "daemon/cli/exposures_command.h"

#include <map>
#include <memory>
#include <ostream>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <CLI/CLI.hpp>

#include "daemon/cli/exposures_output.h"
#include "daemon/command_line/within.h"
#include "daemon/load/body_profiles.h"
#include "lib/base/nearest_word.h"
#include "lib/base/number.h"

namespace noonfall::cli {
namespace {

struct Options {
  std::string aperture;
  std::string iso;
  double filter_density = 5;
  std::string focal_length;
  std::string pixel;
  double declination_deg = 0;
  std::string body;
  std::string bodies;
  bool json = false;
};

/// "600mm" or "600 mm", above zero.
std::optional<double> parse_length(std::string_view text, std::string_view unit) {
  if (!text.ends_with(unit)) return std::nullopt;
  const auto value = parse_decimal(trim(text.substr(0, text.size() - unit.size())));
  return value && *value > 0 && *value <= 100'000 ? value : std::nullopt;
}

/// Reads the options one by one and remembers everything wrong with them.
class Reader {
 public:
  Reader(const Options& options, const std::map<std::string, body::Profile>& profiles)
      : options_(options), profiles_(profiles) {}

  std::optional<ExposuresQuestion> question() {
    ExposuresQuestion asked;
    asked.filter_density = options_.filter_density;
    asked.declination = {options_.declination_deg};
    if (const auto found = exposure::parse_f_number(options_.aperture)) {
      asked.aperture = *found;
    } else {
      refuse("--aperture", options_.aperture, "an f-number like f/8");
    }
    if (const auto found = exposure::parse_iso(options_.iso)) {
      asked.iso = *found;
    } else {
      refuse("--iso", options_.iso, "a whole number from 6 to 409600");
    }
    if (const auto f = length("--focal", options_.focal_length, "mm", "a length like 600mm")) {
      asked.focal_length = Millimetres{*f};
    }
    if (const auto p = length("--pixel", options_.pixel, "um", "a length like 5.9um")) {
      asked.pixel = Micrometres{*p};
    }
    if (asked.pixel && !asked.focal_length) errors_ += "noonfall: --pixel says nothing without --focal\n";
    read_body(asked);
    return errors_.empty() ? std::optional{asked} : std::nullopt;
  }

  [[nodiscard]] const std::string& errors() const { return errors_; }

 private:
  void refuse(std::string_view option, std::string_view text, std::string_view wanted) {
    errors_ += fmt::format("noonfall: {}: \"{}\" isn't understood; wanted {}\n", option, text, wanted);
  }

  std::optional<double> length(std::string_view option, const std::string& text, std::string_view unit,
                               std::string_view wanted) {
    if (text.empty()) return std::nullopt;
    const auto found = parse_length(text, unit);
    if (!found) refuse(option, text, wanted);
    return found;
  }

  void read_body(ExposuresQuestion& asked) {
    asked.shutters = exposure::within(exposure::third_stop_shutters(), {1, 8000}, {30, 1});
    if (options_.body.empty()) return;
    const auto found = profiles_.find(options_.body);
    if (found == profiles_.end()) return refuse_body();
    const auto& profile = found->second;
    asked.body = profile.name;
    asked.shutters = profile.choices.shutters;
    check_offered("--iso", asked.iso, profile.choices.isos, asked.body);
    check_offered("--aperture", asked.aperture, profile.choices.apertures, asked.body);
  }

  void refuse_body() {
    std::vector<std::string_view> names;
    for (const auto& [name, profile] : profiles_) names.push_back(name);
    const auto nearest = nearest_word(options_.body, names);
    errors_ += fmt::format("noonfall: --body: there is no body profile \"{}\"; wanted {}\n", options_.body,
                           nearest.empty() ? fmt::format("one of {}", fmt::join(names, ", ")) : nearest);
  }

  /// A body without any choice leaves the setting to the lens or the photographer.
  template <class T>
  void check_offered(std::string_view option, T wanted, const std::vector<T>& choices,
                     std::string_view body) {
    const auto found = exposure::nearest(wanted, std::span<const T>{choices});
    if (!found || found->value == wanted) return;
    errors_ += fmt::format("noonfall: {}: {} doesn't offer {}; wanted {}\n", option, body, to_text(wanted),
                           to_text(found->value));
  }

  const Options& options_;
  const std::map<std::string, body::Profile>& profiles_;
  std::string errors_;
};

void run(const Options& options, Context& context) {
  const auto bodies = load::read_body_profiles(options.bodies);
  if (has_errors(bodies.findings)) {
    context.err << to_text(bodies.findings);
    context.exit = bodies.readable ? Exit::work_has_errors : Exit::environment;
    return;
  }
  Reader reader{options, bodies.profiles};
  const auto question = reader.question();
  if (!question) {
    context.err << reader.errors();
    context.exit = Exit::bad_command_line;
    return;
  }
  context.out << (options.json ? exposures_json(*question) : exposures_text(*question));
}

}  // namespace

void add_exposures_command(CLI::App& app, Context& context) {
  auto* command =
      app.add_subcommand("exposures", "What to expose each part of an eclipse for, with your gear");
  auto options = std::make_shared<Options>();
  command->add_option("--aperture", options->aperture, "F-number, such as f/8")->type_name("F")->required();
  command->add_option("--iso", options->iso, "ISO value, such as 400")->type_name("ISO")->required();
  command->add_option("--filter", options->filter_density, "Density of the solar filter")
      ->type_name("DENSITY")
      ->check(command_line::within(3, 7))
      ->capture_default_str();
  command->add_option("--focal", options->focal_length, "Focal length, such as 600mm")->type_name("MM");
  command->add_option("--pixel", options->pixel, "Pixel size of the sensor, such as 5.9um")->type_name("UM");
  command->add_option("--declination", options->declination_deg, "The Sun's declination, for the trailing")
      ->type_name("DEG")
      ->check(command_line::within(-24, 24))
      ->capture_default_str();
  command->add_option("--body", options->body, "Name the shutter times of this body profile")
      ->type_name("NAME");
  command->add_option("--bodies", options->bodies, "A folder with more body profiles")->type_name("DIR");
  command->add_flag("--json", options->json, "One JSON object");
  command->callback([options, &context] { run(*options, context); });
}

}  // namespace noonfall::cli
