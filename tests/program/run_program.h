// Runs a program as a user's shell does and keeps what it printed.
#pragma once

#include <sys/wait.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <optional>
#include <sstream>
#include <stdexcept>
#include <string>

#include <unistd.h>

namespace noonfall::tests {

struct Ran {
  int exit = -1;
  std::string out;
  std::string err;
};

/// A folder of its own, gone with it.
class ScratchFolder {
 public:
  ScratchFolder() {
    auto pattern = (std::filesystem::temp_directory_path() / "noonfall-test-XXXXXX").string();
    if (mkdtemp(pattern.data()) == nullptr) throw std::runtime_error("no scratch folder");
    path_ = pattern;
  }
  ~ScratchFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;

  /// Writes a file into it and returns its path.
  std::string file(const std::string& name, const std::string& text) const {
    const auto path = path_ / name;
    std::ofstream{path, std::ios::binary} << text;
    return path.string();
  }
  [[nodiscard]] std::string path(const std::string& name) const { return (path_ / name).string(); }

 private:
  std::filesystem::path path_;
};

/// Of this process's environment, while it lives.
class Variable {
 public:
  Variable(const char* name, const std::string& value) : name_{name} {
    if (const char* before = std::getenv(name)) before_ = before;
    ::setenv(name, value.c_str(), 1);
  }
  ~Variable() {
    if (before_) {
      ::setenv(name_, before_->c_str(), 1);
    } else {
      ::unsetenv(name_);
    }
  }
  Variable(const Variable&) = delete;
  Variable& operator=(const Variable&) = delete;

 private:
  const char* name_;
  std::optional<std::string> before_;
};

inline std::string text_of_file(const std::string& path) {
  std::ifstream file{path, std::ios::binary};
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

/// `arguments` as typed in a shell.
inline Ran run_program(const std::string& program, const std::string& arguments) {
  const ScratchFolder folder;
  const auto out = folder.path("out");
  const auto err = folder.path("err");
  const auto command = "'" + program + "' " + arguments + " >'" + out + "' 2>'" + err + "' </dev/null";
  const int status = std::system(command.c_str());
  return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, text_of_file(out), text_of_file(err)};
}

}  // namespace noonfall::tests
