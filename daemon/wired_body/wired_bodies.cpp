#include "daemon/wired_body/wired_bodies.h"

#include <chrono>
#include <filesystem>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "daemon/posix/boot_time.h"
#include "daemon/posix/process.h"
#include "daemon/posix/unix_socket.h"

namespace noonfall::wired_body {
namespace {

using namespace std::chrono_literals;
namespace fs = std::filesystem;

constexpr const char* bus_name = "bus";
constexpr Duration start_patience = 10s;
constexpr const char* linger_s = "90";  // a worker without a daemon closes its body after 60 s
constexpr const char* ending = ".body";

std::string name_of(std::int32_t rig) {
  return fmt::format("rig-{}", rig);
}

posix::Command command_of(const WiredBodySetup& setup, const std::string& bus) {
  std::vector<std::string> arguments{"--bus-dir",  bus,
                                     "--name",     name_of(setup.rig),
                                     "--bus",      fmt::format("{}", 1 + setup.rig),
                                     "--family",   setup.rig % 2 == 0 ? "a" : "b",
                                     "--serial",   setup.serial,
                                     "--simulate", setup.profile,
                                     "--files",    std::string{body::to_text(setup.traits.files)},
                                     "--seed",     fmt::format("{}", setup.traits.seed),
                                     "--detune",   fmt::format("{}", setup.traits.detune),
                                     "--record",   setup.record,
                                     "--linger",   linger_s};
  if (!setup.faults.empty()) arguments.insert(arguments.end(), {"--faults", setup.faults});
  if (!setup.sky.empty()) arguments.insert(arguments.end(), {"--sky", setup.sky});
  const auto own = [&](const char* what) {
    return fmt::format("{}/{}.body-{}", setup.folder, name_of(setup.rig), what);
  };
  return {setup.executable, std::move(arguments), own("home"), own("stderr"), {}};
}

bool listens(const std::string& bus, const std::string& name) {
  return posix::connect_in(bus, name, posix::SocketKind::datagrams).is_open();
}

}  // namespace

Result<void> plug_in(const WiredBodySetup& setup) {
  const auto bus = (fs::path{setup.folder} / bus_name).string();
  const auto name = name_of(setup.rig) + ending;
  std::error_code ignored;
  fs::create_directory(bus, ignored);
  if (listens(bus, name)) return {};
  const auto process = posix::Process::start(command_of(setup, bus));
  if (!process) return fail(process.error());
  const auto give_up = posix::boot_now() + start_patience;
  while (!listens(bus, name)) {
    if (process->has_ended(5ms) || posix::boot_now() >= give_up) {
      return fail(error_at({}, "wired-body",
                           fmt::format("the simulated body of rig {} doesn't start", setup.rig),
                           fmt::format("what {}/{}.body-stderr says", setup.folder, name_of(setup.rig))));
    }
  }
  return {};
}

void unplug_all(const std::string& folder, Duration patience) {
  const auto bus = (fs::path{folder} / bus_name).string();
  posix::end_all(posix::listeners_in(bus, "rig-", ending, posix::SocketKind::datagrams), patience);
}

std::vector<std::string> wired_variables(const std::string& folder, const std::string& drivers) {
  return {"IOLIBS=" + drivers, fmt::format("NOONFALL_BODIES={}/{}", folder, bus_name)};
}

std::string wired_serial(std::int32_t rig) {
  return fmt::format("{}", 3'000'001 + rig);
}

}  // namespace noonfall::wired_body
