#include "daemon/load/body_profiles.h"

#include <algorithm>
#include <filesystem>
#include <vector>

#include <fmt/format.h>

#include "daemon/posix/text_file.h"
#include "lib/body/profile_text.h"
#include "lib/body/shipped.h"

namespace noonfall::load {
namespace {

constexpr std::size_t most_profile_bytes = 1U << 20U;

void read_file(const std::string& path, BodyProfiles& found) {
  auto text = posix::read_text_file(path, most_profile_bytes);
  if (!text) {
    append(found.findings, std::move(text.error()));
    found.readable = false;
    return;
  }
  auto profile = body::parse_profile(*text, path);
  if (!profile) return append(found.findings, std::move(profile.error()));
  found.profiles[profile->name] = std::move(*profile);
}

/// In order of name, so that what is said doesn't depend on the file system.
std::vector<std::string> yaml_files(const std::string& folder, BodyProfiles& found) {
  std::vector<std::string> paths;
  std::error_code error;
  std::filesystem::directory_iterator entries{folder, error};
  if (error) {
    found.readable = false;
    found.findings.push_back(
        error_at({}, "unreadable-folder", fmt::format("can't read {}: {}", folder, error.message())));
    return paths;
  }
  for (const auto& entry : entries) {
    const auto extension = entry.path().extension();
    if (extension == ".yaml" || extension == ".yml") paths.push_back(entry.path().string());
  }
  std::sort(paths.begin(), paths.end());
  return paths;
}

}  // namespace

BodyProfiles read_body_profiles(const std::string& folder) {
  BodyProfiles found;
  for (const auto& shipped : body::shipped_profiles()) {
    if (auto profile = body::find_shipped(shipped.name))
      found.profiles.emplace(shipped.name, std::move(*profile));
  }
  if (folder.empty()) return found;
  for (const auto& path : yaml_files(folder, found)) read_file(path, found);
  return found;
}

}  // namespace noonfall::load
