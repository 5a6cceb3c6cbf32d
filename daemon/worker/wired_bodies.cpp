#include "daemon/worker/wired_bodies.h"

#include <poll.h>
#include <signal.h>

#include <chrono>
#include <filesystem>
#include <optional>
#include <system_error>
#include <thread>
#include <utility>

#include <fmt/format.h>

#include "daemon/posix/boot_time.h"
#include "daemon/worker/unix_socket.h"
#include "daemon/worker/worker_process.h"

namespace noonfall::worker {
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

WorkerCommand command_of(const WiredBodySetup& setup, const std::string& bus) {
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
  const auto own = [&](const char* what) {
    return fmt::format("{}/{}.body-{}", setup.folder, name_of(setup.rig), what);
  };
  return {setup.executable, std::move(arguments), own("home"), own("stderr"), {}};
}

bool listens(const std::string& bus, const std::string& name) {
  return connect_in(bus, name, SocketKind::datagrams).is_open();
}

bool has_ended(const WorkerProcess& process, std::chrono::milliseconds wait) {
  pollfd end{process.descriptor(), POLLIN, 0};
  return ::poll(&end, 1, static_cast<int>(std::max<std::int64_t>(wait.count(), 0))) > 0;
}

}  // namespace

Result<void> plug_in(const WiredBodySetup& setup) {
  const auto bus = (fs::path{setup.folder} / bus_name).string();
  const auto name = name_of(setup.rig) + ending;
  std::error_code ignored;
  fs::create_directory(bus, ignored);
  if (listens(bus, name)) return {};
  const auto process = WorkerProcess::start(command_of(setup, bus));
  if (!process) return fail(process.error());
  const auto give_up = posix::boot_now() + start_patience;
  while (!listens(bus, name)) {
    if (has_ended(*process, 5ms) || posix::boot_now() >= give_up) {
      return fail(error_at({}, "wired-body",
                           fmt::format("the simulated body of rig {} doesn't start", setup.rig),
                           fmt::format("what {}/{}.body-stderr says", setup.folder, name_of(setup.rig))));
    }
  }
  return {};
}

void unplug_all(const std::string& folder, Duration patience) {
  const auto bus = (fs::path{folder} / bus_name).string();
  std::vector<WorkerProcess> found;
  std::error_code ignored;
  for (const auto& entry : fs::directory_iterator{bus, ignored}) {
    if (entry.path().extension() != ending) continue;
    const auto socket = connect_in(bus, entry.path().filename().string(), SocketKind::datagrams);
    if (!socket.is_open()) continue;
    if (auto process = WorkerProcess::find(peer_pid(socket.get()))) found.push_back(std::move(*process));
  }
  const auto until = posix::boot_now() + patience;
  for (const auto& process : found) process.signal(SIGTERM);
  for (const auto& process : found) {
    const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(until - posix::boot_now());
    if (!has_ended(process, left)) process.signal(SIGKILL);
  }
}

std::vector<std::string> wired_variables(const std::string& folder, const std::string& drivers) {
  return {"IOLIBS=" + drivers, fmt::format("NOONFALL_BODIES={}/{}", folder, bus_name)};
}

std::string wired_serial(std::int32_t rig) {
  return fmt::format("{}", 3'000'001 + rig);
}

}  // namespace noonfall::worker
