#include "daemon/diagnostic/log.h"

#include <sys/stat.h>
#include <unistd.h>

#include <cstdlib>
#include <iostream>
#include <memory>
#include <mutex>
#include <sstream>
#include <utility>

#include <fmt/format.h>
#include <spdlog/pattern_formatter.h>
#include <spdlog/sinks/base_sink.h>

#include <CLI/CLI.hpp>

#include "daemon/posix/patient_output.h"
#include "lib/base/plain_text.h"

namespace noonfall::diagnostic {
namespace {

using spdlog::level::level_enum;

/// systemd.exec(5) on $JOURNAL_STREAM: stderr may have been redirected since.
bool is_the_journal(int fd) {
  const char* stream = std::getenv("JOURNAL_STREAM");  // NOLINT(concurrency-mt-unsafe): nothing here sets it
  struct stat status {};
  return stream != nullptr && ::fstat(fd, &status) == 0 &&
         fmt::format("{}:{}", status.st_dev, status.st_ino) == stream;
}

/// sd-daemon(3), the levels of syslog(3).
int priority(level_enum level) {
  switch (level) {
    case spdlog::level::critical:
      return 2;
    case spdlog::level::err:
      return 3;
    case spdlog::level::warn:
      return 4;
    case spdlog::level::info:
      return 6;
    default:
      return 7;
  }
}

class Stderr final : public spdlog::sinks::base_sink<std::mutex> {
 public:
  Stderr() {
    set_formatter(std::make_unique<spdlog::pattern_formatter>(
        is_journal_ ? "%v" : "%Y-%m-%dT%H:%M:%S.%eZ %n %l: %v", spdlog::pattern_time_type::utc, ""));
  }
  void show_in(std::function<void(std::string)> show) {
    const std::lock_guard lock{mutex_};
    show_ = std::move(show);
  }

 private:
  void sink_it_(const spdlog::details::log_msg& message) override {
    constexpr std::size_t most_waiting = 64U << 10U;
    spdlog::memory_buf_t text;
    formatter_->format(message, text);
    auto line = plain_line({text.data(), text.size()});
    if (show_) return show_(std::move(line));
    if (is_journal_) line.insert(0, fmt::format("<{}>", priority(message.level)));
    if (output_.waiting() < most_waiting) output_.write(line + "\n");
  }
  void flush_() override { (void)output_.flush(); }

  bool is_journal_ = is_the_journal(STDERR_FILENO);
  posix::PatientOutput output_{STDERR_FILENO};
  std::function<void(std::string)> show_;
};

}  // namespace

void begin(const std::string& program) {
  spdlog::set_default_logger(std::make_shared<spdlog::logger>(program, std::make_shared<Stderr>()));
  spdlog::set_level(spdlog::level::warn);
}

void add_level_option(CLI::App& app) {
  app.add_option_function<std::string>(
         "--log-level", [](const std::string& name) { spdlog::set_level(spdlog::level::from_str(name)); },
         "What goes to stderr of the program's own doings: debug, info, warning (else) or error")
      ->check(CLI::IsMember({"debug", "info", "warning", "error"}));
}

std::string level() {
  const auto name = spdlog::level::to_string_view(spdlog::get_level());
  return {name.data(), name.size()};
}

void tell(const Diagnostics& findings) {
  if (!is_the_journal(STDERR_FILENO)) {
    std::cerr << to_text(findings);
    return;
  }
  for (const auto& finding : findings) {
    const auto level = finding.severity == Severity::error ? spdlog::level::err : spdlog::level::warn;
    std::istringstream text{to_text(finding)};
    for (std::string line; std::getline(text, line);) spdlog::log(level, "{}", line);
  }
}

void show_in(std::function<void(std::string)> show) {
  static_cast<Stderr&>(*spdlog::default_logger()->sinks().front()).show_in(std::move(show));
}

}  // namespace noonfall::diagnostic
