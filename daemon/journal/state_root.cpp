#include "daemon/journal/state_root.h"

#include <cstdlib>
#include <filesystem>
#include <set>

#include <fmt/format.h>

#include "daemon/journal/run_folder.h"

namespace noonfall::journal {
namespace {

namespace fs = std::filesystem;

std::string variable(const char* name) {
  const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): nothing here sets variables
  return value == nullptr ? "" : value;
}

}  // namespace

StateEnvironment state_environment() {
  return {variable("STATE_DIRECTORY"), variable("XDG_STATE_HOME"), variable("HOME")};
}

Result<std::string> state_root(const StateEnvironment& environment) {
  const auto first = environment.state_directory.substr(0, environment.state_directory.find(':'));
  if (first.starts_with('/')) return first;
  if (environment.xdg_state_home.starts_with('/')) return environment.xdg_state_home + "/noonfall";
  if (environment.home.starts_with('/')) return environment.home + "/.local/state/noonfall";
  return fail(error_at({}, "run-folder", "there is no folder for the run: HOME isn't set", "--state DIR"));
}

std::string run_folder_name(std::string_view plan_path, shotlog::Mode mode) {
  auto stem = fs::path{plan_path}.stem().string();
  if (stem.empty() || stem == "." || stem == "..") stem = "plan";
  return fmt::format("{}-{}", stem, shotlog::to_text(mode));
}

std::vector<std::string> live_runs() {
  std::set<std::string> found;
  std::error_code ignored;
  for (const auto& process : fs::directory_iterator{"/proc", ignored}) {
    for (const auto& file : fs::directory_iterator{process.path() / "fd", ignored}) {
      const auto lock = fs::read_symlink(file.path(), ignored);
      const auto folder = lock.parent_path();
      if (lock.filename() == lock_name && fs::exists(folder / control_socket_name, ignored) &&
          is_held(folder.string()))
        found.insert(folder.string());
    }
  }
  return {found.begin(), found.end()};
}

}  // namespace noonfall::journal
