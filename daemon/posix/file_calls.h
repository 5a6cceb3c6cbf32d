// Whole files written and read by system calls that a test can make fail, each one.
#pragma once

#include <cstddef>
#include <functional>
#include <string>
#include <string_view>

#include <fcntl.h>
#include <sys/types.h>

#include "daemon/posix/file_descriptor.h"

namespace noonfall::posix {

/// Each as the system call of that name: negative and errno set when it fails. Called from two threads.
struct FileCalls {
  std::function<int(int directory, const std::string& name, int flags)> open;  // creates with mode 0600
  std::function<ssize_t(int file, const char* bytes, std::size_t size)> write;
  std::function<int(int file, off_t size)> truncate;
  std::function<int(int file, off_t size)> reserve;  // room on the disk, the file's size unchanged
  std::function<int(int file)> sync_data;
  std::function<int(int file)> sync;
  std::function<int(int directory, const std::string& from, const std::string& to)> rename;
  std::function<int(int directory, const std::string& from, const std::string& to)> link;
};

[[nodiscard]] FileCalls system_file_calls();

/// "a folder", "a pipe", "a socket", "a device", whose reader may have to wait; empty for a regular file, a
/// link to one, and a name that stands for nothing. Opens nothing. `path` goes from `directory`.
[[nodiscard]] std::string_view other_than_file(const std::string& path, int directory = AT_FDCWD);

/// Whether `path` leads to what `file` is open on. True when that can't be found out.
[[nodiscard]] bool leads_to(const std::string& path, int file);

/// All of it, going on after short writes and signals; 0, or the errno of the call that failed. `written`
/// gains what got through.
[[nodiscard]] int write_all(const FileCalls& calls, int file, const char* bytes, std::size_t size,
                            std::size_t& written);

/// `name` has either what it had or these bytes, whenever anything is killed: they are written beside it,
/// into NAME.part in place of whatever lay there, which takes the name once `finish` (what must be done
/// before) has returned 0. The file, open for appending; closed when anything failed, with its errno set and
/// no part left.
[[nodiscard]] FileDescriptor write_whole(const FileCalls& calls, int directory, const std::string& name,
                                         std::string_view bytes,
                                         const std::function<int(int file)>& finish = {});

/// Piece by piece to its end, or until `take` says it has enough. 0 or an errno.
[[nodiscard]] int read_pieces(int file, const std::function<bool(std::string_view)>& take);

}  // namespace noonfall::posix
