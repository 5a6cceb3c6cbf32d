#include "daemon/start/run_files.h"

#include <filesystem>
#include <set>
#include <system_error>

#include <fmt/format.h>

#include "daemon/posix/file_calls.h"
#include "daemon/posix/process.h"
#include "daemon/posix/text_file.h"
#include "daemon/wired_body/wired_bodies.h"
#include "lib/body/profile_text.h"

namespace noonfall::start {
namespace {

namespace fs = std::filesystem;

Failure cannot(const std::string& what, const std::error_code& why) {
  return fail(error_at({}, "run-folder", fmt::format("can't {}: {}", what, why.message())));
}

/// Profiles are named by their users, files aren't.
std::string file_name(std::size_t number) {
  return fmt::format("{}/{}.yaml", journal::bodies_name, number);
}

Result<void> keep_profiles(const journal::RunFolder& folder, const timeline::Timeline& timeline) {
  std::error_code failed;
  std::size_t number = 0;
  std::set<std::string> kept;
  for (const auto& rig : timeline.rigs) {
    if (rig.by_hand || !kept.insert(rig.profile.name).second) continue;
    const auto written = folder.write_atomically(file_name(number++), body::to_text(rig.profile));
    if (!written) return written;
  }
  while (fs::remove(fs::path{folder.path()} / file_name(number), failed))
    ++number;  // of a plan no longer in force
  return {};
}

}  // namespace

Result<std::string> plan_to_keep(const std::string& path) {
  if (const auto other = posix::other_than_file(path); !other.empty()) {
    return fail(error_at({}, "file", fmt::format("can't read {}: it is {}", path, other),
                         "a file, which a restart can read again"));
  }
  return posix::read_text_file(path, load::most_plan_bytes);
}

journal::RunSettings settings_asked(const RunRequest& request) {
  journal::RunSettings settings;
  settings.mode = request.mode();
  if (request.simulate) settings.bodies = request.wire ? journal::Bodies::wire : journal::Bodies::simulated;
  settings.speed = request.speed.value_or(1);
  if (request.simulate) settings.seed = request.seed.value_or(1);
  settings.detune = request.detune.value_or(1);
  settings.plan = request.plan;
  settings.faults = !request.faults.empty();
  return settings;
}

Result<std::optional<journal::RunSettings>> read_settings(const journal::RunFolder& folder) {
  auto text = folder.read(journal::run_settings_name);
  if (!text) return fail(std::move(text.error()));
  if (!*text) return std::nullopt;
  auto settings = journal::parse_run_settings(**text);
  if (settings) return *settings;
  attach_source(settings.error(), (fs::path{folder.path()} / journal::run_settings_name).string(), **text);
  return fail(std::move(settings.error()));
}

Result<std::vector<std::string>> alarms_of(const journal::RunFolder& folder,
                                           const std::optional<journal::RunSettings>& begun) {
  const auto& exposed = folder.exposed();
  std::vector<std::string> alarms;
  if (!exposed.empty() && (!begun || begun->mode != shotlog::Mode::event)) return fail(exposed);
  for (const auto& one : exposed) alarms.push_back(on_one_line(one));
  return alarms;
}

Result<void> keep_files(const journal::RunFolder& folder, const journal::RunSettings& settings,
                        const load::LoadedPlan& plan, const std::string& faults) {
  return keep_profiles(folder, *plan.timeline)
      .and_then([&] { return folder.write_atomically(journal::plan_name, plan.text); })
      .and_then([&] {
        return faults.empty() ? Result<void>{} : folder.write_atomically(journal::faults_name, faults);
      })
      .and_then([&] {
        return folder.write_atomically(journal::run_settings_name, journal::to_json_text(settings));
      });
}

Result<std::string> put_aside(const journal::RunFolder& folder) {
  constexpr Duration to_end = std::chrono::seconds{10};  // a frame of the longest exposure may be under way
  posix::end_all(posix::listeners_in(folder.path(), "rig-", ".sock", posix::SocketKind::stream), to_end);
  wired_body::unplug_all(folder.path());
  const fs::path here{folder.path()};
  std::error_code failed;
  std::string name;
  for (int number = 1;; ++number) {
    name = fmt::format("earlier-{}", number);
    if (fs::create_directory(here / name, failed)) break;
    if (failed) return cannot("make " + (here / name).string(), failed);
  }
  std::vector<fs::path> entries;
  for (const auto& entry : fs::directory_iterator{here, failed}) entries.push_back(entry.path().filename());
  for (const auto& entry : entries) {
    const auto text = entry.string();
    if (text == journal::lock_name || text.starts_with("earlier-")) continue;
    fs::rename(here / entry, here / name / entry, failed);
    if (failed) return cannot("put " + (here / entry).string() + " aside", failed);
  }
  return name;
}

}  // namespace noonfall::start
