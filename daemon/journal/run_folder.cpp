#include "daemon/journal/run_folder.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <filesystem>
#include <utility>

#include <fmt/format.h>

#include "daemon/posix/error_words.h"
#include "daemon/posix/file_descriptor.h"
#include "daemon/posix/lock.h"

namespace noonfall::journal {
namespace {

constexpr const char* another_folder = "another folder; --state DIR names one";

std::string remedy(int error) {
  switch (error) {
    case ENOSPC:
    case EDQUOT:
      return "free some space, or name a folder on another disk with --state DIR";
    case EROFS:
      return "a folder on a disk that can be written to; --state DIR names one";
    case EACCES:
    case EPERM:
      return "a folder you may write to; --state DIR names one";
    default:
      return another_folder;
  }
}

Failure refused(std::string message, std::string hint) {
  return fail(error_at({}, "run-folder", std::move(message), std::move(hint)));
}

Failure cannot(std::string_view what, const std::string& path, int error) {
  return refused(fmt::format("can't {} {}: {}", what, path, posix::error_words(error)), remedy(error));
}

/// 0 or an errno.
int sync_folder(const posix::FileCalls& calls, int directory, const std::filesystem::path& path) {
  const auto* name = path.empty() ? "." : path.c_str();
  const posix::FileDescriptor folder{::openat(directory, name, O_RDONLY | O_DIRECTORY | O_CLOEXEC)};
  return folder && calls.sync(folder.get()) == 0 ? 0 : errno;
}

/// With its parents, each known to the disk. 0 or an errno.
int make_folders(const posix::FileCalls& calls, int directory, const std::filesystem::path& path) {
  const auto above = path.parent_path();
  int error = ::mkdirat(directory, path.c_str(), 0700) == 0 ? 0 : errno;
  if (error == EEXIST) return 0;
  if (error == ENOENT && !above.empty() && above != path) {
    error = make_folders(calls, directory, above);
    if (error == 0 && ::mkdirat(directory, path.c_str(), 0700) != 0) error = errno == EEXIST ? 0 : errno;
  }
  return error != 0 ? error : sync_folder(calls, directory, above);
}

/// A file that a person keeps in the folder; empty when there is none or the folder is a run's already.
std::string foreign_entry(const std::string& path) {
  std::error_code ignored;
  std::string found;
  for (const auto& entry : std::filesystem::directory_iterator{path, ignored}) {
    const auto name = entry.path().filename().string();
    if (name == lock_name || name == shot_log_name) return {};
    if (entry.is_socket(ignored)) continue;  // of a worker of ours, whose folder was deleted
    if (found.empty() || name < found) found = name;
  }
  return found;
}

Diagnostic exposure(std::string message, std::string hint) {
  return error_at({}, "run-folder", std::move(message), std::move(hint));
}

/// Whoever may write in the folder can put another log there, and whoever may in the one above another
/// folder.
Diagnostics exposed_to_others(int directory, const std::string& path) {
  Diagnostics found;
  struct stat here {};
  struct stat above {};
  if (::fstat(directory, &here) != 0 || ::fstatat(directory, "..", &above, 0) != 0) return found;
  if (here.st_uid != ::geteuid())
    found.push_back(
        exposure(fmt::format("{} belongs to another user (number {})", path, here.st_uid), another_folder));
  if ((here.st_mode & (S_IWGRP | S_IWOTH)) != 0)
    found.push_back(
        exposure(fmt::format("others may write in {} (its mode is {:04o})", path, here.st_mode & 07777U),
                 fmt::format("chmod 700 {}", path)));
  if ((above.st_mode & S_IWOTH) != 0 && (above.st_mode & S_ISVTX) == 0)
    found.push_back(exposure(fmt::format("others may replace {} (the folder above has the mode {:04o})", path,
                                         above.st_mode & 07777U),
                             fmt::format("chmod o-w {}/..", path)));
  return found;
}

bool holds_our_run(int directory) {
  struct stat settings {};
  return ::fstatat(directory, run_settings_name, &settings, AT_SYMLINK_NOFOLLOW) == 0 &&
         settings.st_uid == ::geteuid();
}

}  // namespace

Result<RunFolder> RunFolder::open(const std::string& path, posix::FileCalls calls) {
  RunFolder folder;
  folder.path_ = path;
  folder.calls_ = std::move(calls);
  if (const int error = make_folders(folder.calls_, AT_FDCWD, path); error != 0)
    return cannot("make the folder", path, error);
  folder.directory_ = posix::FileDescriptor{::open(path.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)};
  if (!folder.directory_) {
    if (errno == ENOTDIR) return refused(path + " isn't a folder", another_folder);
    return cannot("open the folder", path, errno);
  }
  folder.exposed_ = exposed_to_others(folder.directory(), path);
  if (!folder.exposed_.empty() && !holds_our_run(folder.directory())) return fail(std::move(folder.exposed_));
  if (const auto foreign = foreign_entry(path); !foreign.empty()) {
    return refused(fmt::format("{} isn't the folder of a run: {} lies in it", path, foreign),
                   "an empty or a new folder; --state DIR names one");
  }
  if (auto locked = folder.take_lock(); !locked) return fail(std::move(locked.error()));
  return folder;
}

Result<void> RunFolder::make_anew() {
  if (posix::leads_to(path_, directory())) return lock_again();
  std::error_code ignored;
  for (const auto* name : {shot_log_name, run_settings_name}) {
    if (std::filesystem::exists(std::filesystem::path{path_} / name, ignored))
      return refused(path_ + " is the folder of another run now", another_folder);
  }
  auto fresh = open(path_, calls_);
  if (!fresh) return fail(std::move(fresh.error()));
  // Whoever has the number goes on in the fresh folder.
  if (::dup3(fresh->directory(), directory(), O_CLOEXEC) < 0) return cannot("use", path_, errno);
  locks_before_.push_back(std::exchange(lock_, std::move(fresh->lock_)));
  return {};
}

/// Where the lock was deleted alone.
Result<void> RunFolder::lock_again() {
  if (posix::leads_to(fmt::format("{}/{}", path_, lock_name), lock_.get())) return {};
  locks_before_.push_back(std::move(lock_));
  return take_lock();
}

Result<void> RunFolder::take_lock() {
  if (auto refusal = refuse_other(lock_name); !refusal) return refusal;
  lock_ = posix::FileDescriptor{calls_.open(directory(), lock_name, O_RDWR | O_CREAT | O_NONBLOCK)};
  if (!lock_) return cannot("write in", path_, errno);
  const int error = posix::take_lock(calls_, lock_.get());
  if (error == 0) return {};
  if (error != EAGAIN) return cannot("write in", path_, error);
  const auto holder = posix::holder_of(lock_.get());
  return refused(fmt::format("another noonfalld ({}) runs in {}",
                             holder ? fmt::format("process {}", *holder) : "process unknown", path_),
                 "one at a time: end that one first, or name another folder with --state DIR");
}

/// A pipe would keep whoever opens it waiting, and a device takes bytes without keeping them.
Result<void> RunFolder::refuse_other(const std::string& name) const {
  const auto other = posix::other_than_file(name, directory());
  if (other.empty()) return {};
  return refused(fmt::format("{}/{} is {}, not a file", path_, name, other),
                 fmt::format("it moved away, or {}", another_folder));
}

Result<void> RunFolder::write_atomically(const std::string& name, std::string_view bytes) const {
  const auto folder = std::filesystem::path{name}.parent_path();
  const auto sync = [&](int file) { return calls_.sync(file) == 0 ? 0 : errno; };
  int error = folder.empty() ? 0 : make_folders(calls_, directory(), folder);
  if (error == 0 && !posix::write_whole(calls_, directory(), name, bytes, sync)) error = errno;
  if (error == 0) error = sync_folder(calls_, directory(), folder);
  if (error == 0) return {};
  return cannot("write", fmt::format("{}/{}", path_, name), error);
}

Result<std::optional<std::string>> RunFolder::read(const std::string& name, std::size_t most_bytes) const {
  const auto full_name = fmt::format("{}/{}", path_, name);
  if (auto refusal = refuse_other(name); !refusal) return fail(std::move(refusal.error()));
  const posix::FileDescriptor file{calls_.open(directory(), name, O_RDONLY | O_NONBLOCK)};
  if (!file && errno == ENOENT) return std::nullopt;
  if (!file) return cannot("read", full_name, errno);
  std::string bytes;
  const int error = posix::read_pieces(file.get(), [&](std::string_view piece) {
    bytes += piece;
    return bytes.size() <= most_bytes;
  });
  if (error != 0) return cannot("read", full_name, error);
  if (bytes.size() <= most_bytes) return bytes;
  return refused(fmt::format("{} is larger than {} bytes", full_name, most_bytes), another_folder);
}

bool is_held(const std::string& path) {
  const posix::FileDescriptor lock{
      ::open((path + "/" + lock_name).c_str(), O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK)};
  return lock && posix::is_locked(lock.get());
}

}  // namespace noonfall::journal
