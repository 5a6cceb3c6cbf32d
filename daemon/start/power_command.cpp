#include "daemon/start/power_command.h"

#include <cerrno>
#include <sstream>
#include <utility>

#include <sys/stat.h>

#include <fmt/format.h>

#include "daemon/posix/process.h"
#include "daemon/posix/text_file.h"

namespace noonfall::start {
namespace {

using Command = std::vector<std::string>;

constexpr std::size_t most_bytes = 1U << 16U;

Failure refuse(Mark mark, std::string message) {
  return fail(
      error_at(mark, "power-command", std::move(message),
               "one line with a program's whole path and arguments, like /usr/local/bin/usb-power cycle"));
}

Result<Command> parse(const std::string& text) {
  Command command;
  std::istringstream lines{text};
  Mark mark{0, 1};
  for (std::string line; std::getline(lines, line);) {
    ++mark.line;
    const auto first = line.find_first_not_of(" \t\r");
    if (first == std::string::npos || line[first] == '#') continue;
    if (!command.empty()) return refuse(mark, "a second command");
    command = posix::parse_argv(line);
    if (command.empty()) return refuse(mark, "no program's whole path is here");
  }
  if (command.empty()) return refuse({}, "no command is in it");
  return command;
}

}  // namespace

Result<Command> read_power_command(const std::string& path, uid_t owner) {
  struct stat file {};
  if (::stat(path.c_str(), &file) != 0 && errno == ENOENT) return Command{};
  const auto text = posix::read_text_file(path, most_bytes);
  if (!text) return fail(text.error());
  const bool safe = file.st_uid == owner && (file.st_mode & (S_IWGRP | S_IWOTH)) == 0;
  auto command = safe ? parse(*text)
                      : fail(error_at({}, "power-command", "others than root may write it",
                                      fmt::format("chown root {0} && chmod 644 {0}", path)));
  if (!command) attach_source(command.error(), path, *text);
  return command;
}

void choose_power_command(OpenedRun& run, const std::string& given, Diagnostics& findings) {
  auto& chosen = run.power_command;
  if (!given.empty()) {
    chosen = posix::parse_argv(given);
  } else if (run.settings.bodies == journal::Bodies::real) {
    auto command = read_power_command();
    if (command) {
      chosen = std::move(*command);
    } else {
      run.notes.push_back(fmt::format("ALARM no body's power can be switched by {}: {}", power_command_file,
                                      on_one_line(command.error().front())));
      append(findings, std::move(command.error()));
    }
  }
  run.facts.can_cycle_power = !chosen.empty();
}

}  // namespace noonfall::start
