#include "daemon/worker/worker_command.h"

#include <fmt/format.h>

namespace noonfall::worker {

WorkerCommand command_of(const WorkerSetup& setup) {
  std::vector<std::string> arguments{"--socket-dir", setup.folder,
                                     "--rig",        fmt::format("{}", setup.rig),
                                     "--simulate",   setup.profile,
                                     "--files",      std::string{body::to_text(setup.traits.files)},
                                     "--seed",       fmt::format("{}", setup.traits.seed),
                                     "--detune",     fmt::format("{}", setup.traits.detune)};
  const auto add = [&](const char* option, const std::string& file) {
    if (!file.empty()) arguments.insert(arguments.end(), {option, file});
  };
  add("--faults", setup.faults);
  add("--record", setup.record);
  add("--lock", setup.lock);
  const auto own = [&](const char* what) {
    return fmt::format("{}/rig-{}.{}", setup.folder, setup.rig, what);
  };
  return {setup.executable, std::move(arguments), own("home"), own("stderr")};
}

}  // namespace noonfall::worker
