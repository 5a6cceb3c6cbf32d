#include "daemon/pictures/photo_files.h"

#include <algorithm>
#include <filesystem>
#include <set>

#include <fmt/format.h>

namespace noonfall::pictures {
namespace {

namespace fs = std::filesystem;

Failure refuse(std::string_view verb, const fs::path& path, const std::error_code& error) {
  return fail(error_at({}, "file", fmt::format("can't {} {}: {}", verb, path.string(), error.message())));
}

bool is_hidden(const fs::path& path) {
  return path.filename().string().starts_with('.');
}

/// What noonfall itself puts beside frames: sidecars, and a rehearsal's contact sheet.
bool is_no_photo(const fs::path& path) {
  const auto ending = path.extension();
  return ending == ".xmp" || ending == ".XMP" || path.filename() == "sheet.html";
}

Result<void> add_folder(const fs::path& folder, std::vector<std::string>& files) {
  std::error_code error;
  auto at = fs::recursive_directory_iterator{folder, error};
  while (!error && at != fs::recursive_directory_iterator{}) {
    const auto& path = at->path();
    const bool folder_in_it = at->is_directory(error);
    if (folder_in_it && is_hidden(path)) at.disable_recursion_pending();
    if (!folder_in_it && !is_hidden(path) && !is_no_photo(path)) files.push_back(path.string());
    at.increment(error);
  }
  if (error) return refuse("read", folder, error);
  return {};
}

}  // namespace

Result<std::vector<std::string>> photo_files(const std::vector<std::string>& names) {
  std::vector<std::string> files;
  for (const auto& name : names) {
    std::error_code error;
    const auto kind = fs::status(name, error).type();
    if (kind == fs::file_type::not_found || kind == fs::file_type::none) return refuse("read", name, error);
    if (kind != fs::file_type::directory) {
      files.push_back(name);
      continue;
    }
    const auto before = static_cast<std::ptrdiff_t>(files.size());
    if (const auto added = add_folder(name, files); !added) return fail(added.error());
    std::sort(files.begin() + before, files.end());
  }
  std::set<fs::path> seen;
  std::erase_if(files, [&](const std::string& file) {
    std::error_code error;
    const auto real = fs::weakly_canonical(file, error);
    return !error && !seen.insert(real).second;
  });
  return files;
}

Result<bool> link_photo(const std::string& file, const std::string& tree, const std::string& place) {
  std::error_code error;
  const auto link = fs::path{tree} / place;
  fs::create_directories(link.parent_path(), error);
  if (error) return refuse("make the folder", link.parent_path(), error);
  const auto target = fs::canonical(file, error);
  if (error) return refuse("find", file, error);
  fs::create_symlink(target, link, error);
  if (error == std::errc::file_exists) return false;
  if (error) return refuse("make the link", link, error);
  return true;
}

}  // namespace noonfall::pictures
