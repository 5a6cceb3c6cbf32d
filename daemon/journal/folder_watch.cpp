#include "daemon/journal/folder_watch.h"

#include <filesystem>

#include <fmt/format.h>

namespace noonfall::journal {
namespace {

namespace fs = std::filesystem;

}  // namespace

FolderWatch::FolderWatch(RunFolder& folder, ShotJournal& journal) : folder_{folder}, journal_{journal} {
  read_files("");
  read_files(std::string{bodies_name} + "/");
  // Last, since settings without a log would begin the run once more.
  std::stable_partition(files_.begin(), files_.end(),
                        [](const auto& file) { return file.first != run_settings_name; });
}

void FolderWatch::read_files(const std::string& below) {
  std::error_code ignored;
  for (const auto& entry : fs::directory_iterator{fs::path{folder_.path()} / below, ignored}) {
    const auto name = below + entry.path().filename().string();
    if (!entry.is_regular_file(ignored) || (entry.path().extension() != ".yaml" && name != run_settings_name))
      continue;
    if (auto bytes = folder_.read(name); bytes && *bytes) files_.emplace_back(name, std::move(**bytes));
  }
}

std::optional<FolderNews> FolderWatch::look() {
  whole_ = journal_.is_in_place() && whole_;
  if (whole_) return std::nullopt;
  const auto gone = fmt::format("{} or its {} was deleted or moved away", folder_.path(), shot_log_name);
  if (const auto made = make_anew(); !made) {
    auto words = fmt::format("{} and can't be made anew: {}; the shooting goes on", gone,
                             on_one_line(made.error().front()));
    if (words == told_) return std::nullopt;
    told_ = words;
    return FolderNews{std::move(words), FolderNews::Folder::missing};
  }
  whole_ = true;
  told_.clear();
  return FolderNews{gone + "; it is there anew, with the whole log and all that a restart needs",
                    FolderNews::Folder::fresh};
}

Result<void> FolderWatch::make_anew() {
  return folder_.make_anew().and_then([&] { return journal_.write_anew(); }).and_then([&] {
    return write_files();
  });
}

Result<void> FolderWatch::write_files() const {
  for (const auto& [name, bytes] : files_) {
    if (auto written = folder_.write_atomically(name, bytes); !written) return written;
  }
  return {};
}

}  // namespace noonfall::journal
