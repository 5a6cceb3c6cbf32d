// File calls that a test makes fail at will.
#pragma once

#include <atomic>
#include <cerrno>

#include <sys/stat.h>

#include "daemon/posix/file_calls.h"

namespace noonfall::journal {

/// What fails from now on, by errno; 0 for nothing. Set from the test's thread, read from both.
struct Failing {
  std::atomic<int> write = 0;
  std::atomic<int> sync_data = 0;
  std::atomic<int> rename = 0;
  std::atomic<int> link = 0;
  std::atomic<int> open = 0;
  std::atomic<int> reserve = 0;
  std::atomic<int> room = 1 << 30;     // bytes writes may still take in all
  std::atomic<ino_t> disk = 0;         // the file whose writes `room` is about; 0: every one
  std::atomic<int> at_most = 1 << 30;  // bytes one write takes
  std::atomic<int> writes = 0;         // calls made
  std::atomic<int> syncs = 0;          // of data, ended
};

inline int failed(int error) {
  errno = error;
  return -1;
}

[[nodiscard]] inline posix::FileCalls calls_with(Failing& failing) {
  const auto real = posix::system_file_calls();
  auto calls = real;
  calls.write = [&failing, real](int file, const char* bytes, std::size_t size) -> ssize_t {
    ++failing.writes;
    if (failing.write != 0) return failed(failing.write);
    struct stat status {};
    const bool limited = failing.disk == 0 || (::fstat(file, &status) == 0 && status.st_ino == failing.disk);
    const int room = limited ? failing.room.load() : 1 << 30;
    if (room == 0) return failed(ENOSPC);
    const auto most = static_cast<std::size_t>(std::min(room, failing.at_most.load()));
    const auto count = real.write(file, bytes, std::min(size, most));
    if (count > 0 && limited) failing.room -= static_cast<int>(count);
    return count;
  };
  calls.sync_data = [&failing, real](int file) {
    const int error = failing.sync_data;
    const int result = error != 0 ? failed(error) : real.sync_data(file);
    const int kept = errno;
    ++failing.syncs;
    errno = kept;
    return result;
  };
  calls.rename = [&failing, real](int directory, const std::string& from, const std::string& to) {
    return failing.rename != 0 ? failed(failing.rename) : real.rename(directory, from, to);
  };
  calls.link = [&failing, real](int directory, const std::string& from, const std::string& to) {
    return failing.link != 0 ? failed(failing.link) : real.link(directory, from, to);
  };
  calls.open = [&failing, real](int directory, const std::string& name, int flags) {
    return failing.open != 0 ? failed(failing.open) : real.open(directory, name, flags);
  };
  calls.reserve = [&failing, real](int file, off_t size) {
    return failing.reserve != 0 ? failed(failing.reserve) : real.reserve(file, size);
  };
  return calls;
}

}  // namespace noonfall::journal
