#include "daemon/journal/second_place.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cstdint>
#include <utility>

#include "daemon/posix/file_descriptor.h"
#include "lib/shotlog/checksum.h"
#include "lib/shotlog/codec.h"

namespace noonfall::journal {
namespace {

constexpr std::size_t most_bytes = std::size_t{64} << 20U;

/// Empty while there is no whole one.
std::string_view first_line(std::string_view log) {
  const auto end = log.find('\n');
  return end == std::string_view::npos ? std::string_view{} : log.substr(0, end + 1);
}

std::string name_for(std::string_view log) {
  return shotlog::sha256_text(first_line(log)).substr(0, 16) + ".jsonl";
}

/// Of a folder that is there; nobody but its owner may have put anything into it.
posix::FileDescriptor open_own(const std::string& folder) {
  posix::FileDescriptor directory{::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC)};
  struct stat status {};
  const bool ours = directory && ::fstat(directory.get(), &status) == 0 && status.st_uid == ::geteuid() &&
                    (status.st_mode & 022U) == 0;
  return ours ? std::move(directory) : posix::FileDescriptor{};
}

/// Empty when it can't be read or is no plain file.
std::string read_file(const posix::FileDescriptor& directory, const std::string& name) {
  constexpr int flags = O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC;
  const posix::FileDescriptor file{::openat(directory.get(), name.c_str(), flags)};
  struct stat status {};
  if (!file || ::fstat(file.get(), &status) != 0 || !S_ISREG(status.st_mode)) return {};
  std::string bytes;
  const int error = posix::read_pieces(file.get(), [&](std::string_view piece) {
    bytes += piece;
    return bytes.size() <= most_bytes;
  });
  return error == 0 && bytes.size() <= most_bytes ? bytes : std::string{};
}

/// The log's last readable line; 0 for none.
std::int64_t last_seq(std::string_view log) {
  while (!log.empty()) {
    log.remove_suffix(1);
    const auto begin = log.rfind('\n') + 1;  // npos + 1 is 0
    if (const auto line = shotlog::decode(log.substr(begin))) return line->seq;
    log = log.substr(0, begin);
  }
  return 0;
}

/// Whole, undamaged lines above `seq`, each above the one before.
std::string lines_above(std::int64_t seq, std::string_view bytes) {
  std::string lines;
  for (auto end = bytes.find('\n'); end != std::string_view::npos; end = bytes.find('\n')) {
    const auto line = shotlog::decode(bytes.substr(0, end));
    if (line && line->seq > seq) {
      seq = line->seq;
      lines += bytes.substr(0, end + 1);
    }
    bytes.remove_prefix(end + 1);
  }
  return lines;
}

}  // namespace

SecondPlace::SecondPlace(std::vector<std::string> folders, posix::FileCalls calls)
    : folders_{std::move(folders)}, calls_{std::move(calls)} {}

void SecondPlace::keep(std::string_view log, std::size_t on_disk) {
  const auto first = first_line(log);
  file_ = {};
  path_.clear();
  if (first.empty() || on_disk < first.size()) return;
  const auto from = log.rfind('\n', on_disk - 1) + 1;  // the disk's last line may be torn
  for (const auto& folder : folders_) {
    if (begin(folder, log, from)) return;
  }
}

bool SecondPlace::begin(const std::string& folder, std::string_view log, std::size_t from) {
  ::mkdir(folder.c_str(), 0700);
  const auto directory = open_own(folder);
  if (!directory) return false;
  const auto name = name_for(log);
  auto bytes = std::string{first_line(log)};
  bytes += log.substr(from);
  auto file = posix::write_whole(calls_, directory.get(), name, bytes);
  if (!file) return false;
  file_ = std::move(file);
  path_ = folder + "/" + name;
  held_ = log.size();
  return true;
}

void SecondPlace::follow(std::string_view log) {
  if (!file_) return;
  const auto rest = log.substr(held_);
  std::size_t written = 0;
  if (posix::write_all(calls_, file_.get(), rest.data(), rest.size(), written) != 0)
    file_ = {};  // as far as it came
  held_ = log.size();
}

std::string SecondPlace::lines_beyond(std::string_view log) const {
  const auto first = first_line(log);
  if (first.empty()) return {};
  std::string lines;
  auto seq = last_seq(log);
  for (const auto& folder : folders_) {
    const auto directory = open_own(folder);
    const auto bytes = directory ? read_file(directory, name_for(log)) : std::string{};
    if (!bytes.starts_with(first)) continue;
    lines += lines_above(seq, bytes);
    seq = std::max(seq, last_seq(lines));
  }
  return lines;
}

void SecondPlace::remove(std::string_view log) {
  file_ = {};
  path_.clear();
  for (const auto& folder : folders_) {
    const auto directory = open_own(folder);
    if (directory) ::unlinkat(directory.get(), name_for(log).c_str(), 0);
  }
}

}  // namespace noonfall::journal
