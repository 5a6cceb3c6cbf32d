#include "daemon/cli/text_file.h"

#include <cerrno>
#include <filesystem>
#include <fstream>
#include <system_error>

#include <fmt/format.h>

namespace noonfall::cli {
namespace {

Diagnostic file_error(std::string_view verb, const std::string& path, const std::string& why) {
  return error_at({}, "file", fmt::format("can't {} {}: {}", verb, path, why));
}

std::string last_system_error() {
  return std::generic_category().message(errno);
}

}  // namespace

Result<std::string> read_text_file(const std::string& path, std::size_t most_bytes) {
  std::error_code ignored;
  if (std::filesystem::is_directory(path, ignored)) return fail(file_error("read", path, "it is a folder"));
  // opening a pipe waits for somebody to write to it; a shell's own, /dev/fd/63 or so, has one who does
  if (std::filesystem::is_fifo(path, ignored) && !path.starts_with("/dev/"))
    return fail(file_error("read", path, "it is a pipe"));
  errno = 0;
  std::ifstream file{path, std::ios::binary};
  if (!file) return fail(file_error("read", path, last_system_error()));
  std::string text;
  char block[1 << 16];
  while (file.read(block, sizeof block) || file.gcount() > 0) {
    text.append(block, static_cast<std::size_t>(file.gcount()));
    if (text.size() > most_bytes) {
      return fail(file_error("read", path, fmt::format("it is larger than {} bytes", most_bytes)));
    }
  }
  if (file.bad()) return fail(file_error("read", path, last_system_error()));
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

}  // namespace noonfall::cli
