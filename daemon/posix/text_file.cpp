#include "daemon/posix/text_file.h"

#include <fcntl.h>

#include <cerrno>
#include <filesystem>
#include <system_error>

#include <fmt/format.h>

#include "daemon/posix/error_words.h"
#include "daemon/posix/file_calls.h"

namespace noonfall::posix {
namespace {

Diagnostic file_error(std::string_view verb, const std::string& path, const std::string& why) {
  return error_at({}, "file", fmt::format("can't {} {}: {}", verb, path, why));
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
  const FileDescriptor file{::open(path.c_str(), O_RDONLY | O_CLOEXEC)};
  const int error = file ? read_pieces(file.get(), take) : errno;
  if (error != 0) return fail(file_error("read", path, error_words(error)));
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
  auto calls = system_file_calls();
  calls.open = [](int directory, const std::string& name, int flags) {
    return ::openat(directory, name.c_str(), flags | O_CLOEXEC, 0666);  // as the user's umask wants it
  };
  if (write_whole(calls, AT_FDCWD, path, text)) return {};
  return fail(file_error("write", path, error_words()));
}

}  // namespace noonfall::posix
