// The file calls whose failure the journal must survive, so that a test can make each of them fail.
#pragma once

#include <cstddef>
#include <functional>
#include <string>

#include <sys/types.h>

namespace noonfall::journal {

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

/// Whether `path` leads to what `file` is open on. True when that can't be found out.
[[nodiscard]] bool leads_to(const std::string& path, int file);

/// All of it, going on after short writes and signals; 0, or the errno of the call that failed. `written`
/// gains what got through.
[[nodiscard]] int write_all(const FileCalls& calls, int file, const char* bytes, std::size_t size,
                            std::size_t& written);

}  // namespace noonfall::journal
