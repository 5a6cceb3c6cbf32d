#include "daemon/worker/worker_command.h"

#include <initializer_list>

#include <fmt/format.h>

namespace noonfall::worker {

WorkerCommand command_of(const WorkerSetup& setup) {
  std::vector<std::string> arguments{"--socket-dir", setup.folder, "--rig", fmt::format("{}", setup.rig)};
  const auto say = [&](std::initializer_list<std::string> words) {
    arguments.insert(arguments.end(), words);
  };
  const auto files = std::string{body::to_text(setup.traits.files)};
  if (setup.serial.empty()) {
    say({"--simulate", setup.profile, "--files", files, "--seed", fmt::format("{}", setup.traits.seed),
         "--detune", fmt::format("{}", setup.traits.detune)});
  } else {
    say({"--serial", setup.serial, "--profile", setup.profile, "--files", files});
  }
  const auto add = [&](const char* option, const std::string& file) {
    if (!file.empty()) say({option, file});
  };
  add("--faults", setup.faults);
  add("--record", setup.record);
  add("--lock", setup.lock);
  const auto own = [&](const char* what) {
    return fmt::format("{}/rig-{}.{}", setup.folder, setup.rig, what);
  };
  return {setup.executable, std::move(arguments), own("home"), own("stderr"), setup.variables};
}

}  // namespace noonfall::worker
