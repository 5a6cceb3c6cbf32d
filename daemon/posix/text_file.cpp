#include "daemon/posix/text_file.h"

#include <cerrno>
#include <filesystem>
#include <fstream>
#include <system_error>

#include <fmt/format.h>

#include "daemon/posix/file_kind.h"

namespace noonfall::posix {
namespace {

Diagnostic file_error(std::string_view verb, const std::string& path, const std::string& why) {
  return error_at({}, "file", fmt::format("can't {} {}: {}", verb, path, why));
}

std::string last_system_error() {
  return std::generic_category().message(errno);
}

/// What the shell has opened for us, a pipe mostly, comes from somebody who writes to it: reading it ends.
/// Opening any other pipe waits for such a one, and reading a device may never end.
bool is_given_open(std::string_view path) {
  return path == "/dev/stdin" || path.starts_with("/dev/fd/") || path.starts_with("/proc/self/fd/");
}

}  // namespace

Result<void> read_in_pieces(const std::string& path, const std::function<bool(std::string_view)>& take) {
  const auto other = posix::other_than_file(path);
  if (!other.empty() && (other == "a folder" || !is_given_open(path)))
    return fail(file_error("read", path, fmt::format("it is {}", other)));
  errno = 0;
  std::ifstream file{path, std::ios::binary};
  if (!file) return fail(file_error("read", path, last_system_error()));
  char block[1 << 16];
  while (file.read(block, sizeof block) || file.gcount() > 0) {
    if (!take({block, static_cast<std::size_t>(file.gcount())})) return {};
  }
  if (file.bad()) return fail(file_error("read", path, last_system_error()));
  return {};
}

Result<std::string> read_text_file(const std::string& path, std::size_t most_bytes) {
  std::string text;
  const auto read = read_in_pieces(path, [&](std::string_view piece) {
    text += piece;
    return text.size() <= most_bytes;
  });
  if (!read) return fail(read.error());
  if (text.size() > most_bytes)
    return fail(file_error("read", path, fmt::format("it is larger than {} bytes", most_bytes)));
  return text;
}

Result<void> write_text_file(const std::string& path, std::string_view text) {
  namespace fs = std::filesystem;
  std::error_code error;
  const auto there = [&](const std::string& name) {
    return fs::symlink_status(name, error).type() != fs::file_type::not_found;
  };
  if (there(path)) {
    return fail(file_error("write", path, "it exists already; move it away or choose another name"));
  }
  const std::string temporary = path + ".part";
  if (there(temporary)) {
    return fail(file_error("write", path, temporary + " is in the way; move it away first"));
  }
  errno = 0;
  std::ofstream file{temporary, std::ios::binary | std::ios::trunc};
  file.write(text.data(), static_cast<std::streamsize>(text.size()));
  file.close();
  auto why = file ? std::string{} : last_system_error();
  if (file) fs::rename(temporary, path, error);
  if (file && error) why = error.message();
  if (why.empty()) return {};
  fs::remove(temporary, error);
  return fail(file_error("write", path, why));
}

}  // namespace noonfall::posix
