// The diagnostic log: what a program of ours does and what goes wrong in it, for whoever looks for a fault.
// What becomes of the pictures is the shot log's.
#pragma once

#include <functional>
#include <string>

#include <spdlog/spdlog.h>

#include "lib/base/diagnostic.h"

namespace CLI {
class App;
}

namespace noonfall::diagnostic {

/// First thing in main: what is logged goes to stderr, each line with its instant and level; to systemd's
/// journal, where that is what stderr is, with its priority (sd-daemon(3)). Never waits for whoever reads it:
/// what isn't taken is left out, from 64 kB on. Warnings and errors only, unless --log-level asks for more.
void begin(const std::string& program);

/// --log-level, in force as soon as it is read.
void add_level_option(CLI::App& app);
/// The level in force, as the option names it.
[[nodiscard]] std::string level();

/// What is wrong with what a person gave us: on stderr as they read it, in the journal a line each.
void tell(const Diagnostics& findings);

/// Lines go to `show` instead, while it isn't empty: into the view that is on the same terminal.
void show_in(std::function<void(std::string line)> show);

}  // namespace noonfall::diagnostic
