#include "daemon/command_line/parse_line.h"

#include <algorithm>
#include <iostream>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "lib/base/nearest_word.h"
#include "lib/base/plain_text.h"

namespace noonfall::command_line {
namespace {

constexpr const char* see_help = "Run with --help for more information.\n";

/// What to say of a first word that is no command of `app`; empty where it is one, or where there are none.
std::string no_such_command(const CLI::App& app, std::string_view word) {
  std::vector<std::string> names;
  for (const auto* command : app.get_subcommands([](const CLI::App*) { return true; }))
    names.push_back(command->get_name());
  const std::vector<std::string_view> words(names.begin(), names.end());
  if (words.empty() || word.starts_with('-') || std::find(words.begin(), words.end(), word) != words.end())
    return {};
  const auto nearest = nearest_word(word, words);
  return fmt::format("there is no command \"{}\"{}\n{}", plain_line(word),
                     nearest.empty() ? "" : fmt::format(": did you mean {}?", nearest), see_help);
}

}  // namespace

void introduce(CLI::App& app, const std::string& program, std::string (*data)()) {
  app.name(program);
  app.set_version_flag(
      "--version",
      [=] { return program + " " NOONFALL_VERSION + (data == nullptr ? std::string{} : "\n" + data()); },
      "Print the version and exit");
  app.failure_message(
      [](const CLI::App*, const CLI::Error& error) { return plain_line(error.what()) + "\n" + see_help; });
}

std::optional<int> parse_line(CLI::App& app, int argc, const char* const* argv) {
  if (const auto wrong = argc > 1 ? no_such_command(app, argv[1]) : std::string{}; !wrong.empty()) {
    std::cerr << wrong;
    return static_cast<int>(Exit::bad_command_line);
  }
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? 0 : static_cast<int>(Exit::bad_command_line);
  }
  return std::nullopt;
}

}  // namespace noonfall::command_line
