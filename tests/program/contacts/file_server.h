// A web server on the loopback for tests of downloads, as good or bad as it is told to be.
#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "daemon/posix/file_descriptor.h"

namespace noonfall::tests {

struct Served {
  std::string bytes;
  std::optional<std::size_t> cut_after = {};  // the line ends there, in mid-file
  bool endless = false;                       // goes on for ever after `bytes`
  bool ranges = true;                         // knows them
};

/// One request a line, one line at a time.
class FileServer {
 public:
  FileServer();
  ~FileServer();
  FileServer(const FileServer&) = delete;
  FileServer& operator=(const FileServer&) = delete;

  void serve(const std::string& path, Served what);
  [[nodiscard]] std::string address(const std::string& path) const;
  /// "GET /x" or "GET /x from 512", in turn.
  [[nodiscard]] std::vector<std::string> asked() const;

 private:
  void run();
  void answer(int client);

  posix::FileDescriptor listening_;
  std::uint16_t port_ = 0;
  mutable std::mutex mutex_;
  std::map<std::string, Served> files_;
  std::vector<std::string> asked_;
  std::atomic<bool> ending_ = false;
  std::jthread thread_;
};

}  // namespace noonfall::tests
