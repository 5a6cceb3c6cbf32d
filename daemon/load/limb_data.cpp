#include "daemon/load/limb_data.h"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <map>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "daemon/command_line/within.h"
#include "daemon/posix/text_file.h"
#include "lib/base/sun.h"
#include "lib/contacts/elements.h"

namespace noonfall::load {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t most_bytes = 64U << 20U;

std::string variable(const char* name) {
  const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): nothing here sets variables
  return value == nullptr ? "" : value;
}

tl::unexpected<command_line::Refusal> refuse(command_line::Exit exit, std::string message, std::string hint) {
  return command_line::refuse({error_at({}, "limb-data", std::move(message), std::move(hint))}, exit);
}

std::vector<std::string> strips_in(const std::string& folder) {
  std::vector<std::string> found;
  std::error_code ignored;
  for (const auto& entry : fs::directory_iterator{folder, ignored}) {
    if (entry.path().extension() == ".llb") found.push_back(entry.path().string());
  }
  std::sort(found.begin(), found.end());
  return found;
}

tl::expected<LimbData, command_line::Refusal> read(const std::string& path) {
  auto bytes = posix::read_text_file(path, most_bytes);
  if (!bytes) return command_line::refuse(std::move(bytes.error()), command_line::Exit::environment);
  auto strip = limb::parse_strip(*bytes);
  if (strip) return LimbData{std::make_shared<const limb::Strip>(std::move(*strip)), path};
  for (auto& each : strip.error()) each.file = path;
  return command_line::refuse(std::move(strip.error()));
}

}  // namespace

void add_limb_options(CLI::App& command, LimbRequest& request) {
  command
      .add_option("--limb", request.limb, "Edge of the Moon: mean or profile (default the best available)")
      ->check(CLI::IsMember({"mean", "profile"}));
  command
      .add_option("--limb-data", request.data,
                  "Strip of lunar heights to use; else one in ~/.local/share/noonfall or /usr/share/noonfall")
      ->type_name("FILE")
      ->check(command_line::named());
}

std::vector<std::string> limb_data_folders() {
  auto home = variable("XDG_DATA_HOME");
  if (!home.starts_with('/') && variable("HOME").starts_with('/')) home = variable("HOME") + "/.local/share";
  auto rest = variable("XDG_DATA_DIRS");
  if (rest.empty()) rest = "/usr/local/share:/usr/share";
  std::vector<std::string> folders;
  if (home.starts_with('/')) folders.push_back(home + "/noonfall");
  for (std::size_t from = 0; from <= rest.size();) {
    const auto to = std::min(rest.find(':', from), rest.size());
    const auto each = rest.substr(from, to - from);
    if (each.starts_with('/')) folders.push_back(each + "/noonfall");
    from = to + 1;
  }
  return folders;
}

tl::expected<LimbData, command_line::Refusal> find_limb_data(const LimbRequest& request) {
  if (request.limb == "mean" && !request.data.empty())
    return refuse(command_line::Exit::bad_command_line, "--limb mean takes no --limb-data", "one of the two");
  if (request.limb == "mean") return LimbData{};
  if (!request.data.empty()) return read(request.data);
  const auto folders = limb_data_folders();
  for (const auto& folder : folders) {
    const auto found = strips_in(folder);
    if (found.size() == 1) return read(found[0]);
    if (found.size() > 1)
      return refuse(command_line::Exit::work_has_errors,
                    fmt::format("{} has {} strips of lunar heights", folder, found.size()),
                    fmt::format("one of them there, or --limb-data: {}", fmt::join(found, ", ")));
  }
  if (request.limb == "profile")
    return refuse(
        command_line::Exit::environment,
        "no lunar limb profile is available: there is no strip of lunar heights (*.llb) in " +
            fmt::format("{}", fmt::join(folders, ", ")),
        "--limb-data FILE, a strip made by `noonfall limb build`, or --limb mean for a smooth Moon");
  return LimbData{};
}

limb::LimbContacts contacts_with(const LimbData& data, const contacts::Elements& elements,
                                 const contacts::Site& site, const contacts::Settings& settings) {
  if (data.strip) return limb::limb_contacts(*data.strip, elements, site, settings);
  limb::LimbContacts smooth;
  smooth.circumstances = contacts::circumstances(elements, site, settings);
  return smooth;
}

void use_limb(const LimbData& data, contacts::Settings& settings) {
  settings.limb = data.limb();
  settings.solar_radius = data.strip ? measured_solar_radius : auwers_solar_radius;
}

std::string data_versions() {
  const auto elements = contacts::built_in_elements();
  std::map<std::string, int> sources;
  for (const auto& each : elements) ++sources[each.source];
  std::vector<std::string> counted;
  for (const auto& [source, count] : sources) counted.push_back(fmt::format("{} of {}", count, source));
  const auto limb = find_limb_data({});
  std::string edge = "none: noonfall limb fetch gets them";
  if (!limb) edge = "can't be used: " + limb.error().why.front().message;
  if (limb && limb->strip)
    edge = fmt::format("{}, every {:g} x {:g} degrees, from {:g} km", limb->path, limb->strip->phi_step_deg,
                       limb->strip->c_step_deg, limb->strip->reference_radius_km);
  return fmt::format("elements: {} to {}, {}\nlunar heights: {}", to_text(elements.front().date),
                     to_text(elements.back().date), fmt::join(counted, ", "), edge);
}

}  // namespace noonfall::load
