#include "daemon/worker/serve.h"

#include <algorithm>
#include <optional>
#include <utility>

#include "daemon/diagnostic/log.h"
#include "daemon/posix/file_descriptor.h"
#include "daemon/posix/unix_socket.h"
#include "daemon/worker/body_record.h"
#include "daemon/worker/line_loop.h"
#include "daemon/worker/lock_file.h"
#include "daemon/worker/paced_body.h"
#include "daemon/worker/real_time.h"
#include "daemon/worker/wait.h"

namespace noonfall::worker {
namespace {

constexpr int input_has_errors = 1;
constexpr int environment_failed = 3;

/// What has to be opened before any work begins.
struct Opened {
  posix::FileDescriptor lock;
  std::optional<RecordFile> record;
  posix::FileDescriptor socket;
};

Result<Opened> open_all(const CameraOptions& options) {
  Opened opened;
  if (!options.lock.empty()) {
    auto lock = hold_lock(options.lock);
    if (!lock) return fail(lock.error());
    opened.lock = std::move(*lock);
  }
  if (!options.record.empty()) {
    auto record = RecordFile::open(options.record);
    if (!record) return fail(record.error());
    opened.record.emplace(std::move(*record));
  }
  auto socket = posix::listen_in(options.socket_folder, socket_name(options.rig));
  if (!socket) return fail(socket.error());
  opened.socket = std::move(*socket);
  return opened;
}

int refuse(int exit_code, const Diagnostics& errors) {
  diagnostic::tell(errors);
  return exit_code;
}

bool unreadable(const Diagnostics& errors) {
  return std::ranges::any_of(errors, [](const auto& error) { return error.code == "file"; });
}

/// Runs both loops to their end.
void work(const CameraOptions& options, sim::BodySetup setup, const MakeCabled& make_cabled, const Eyes& eyes,
          Opened& opened, const posix::FileDescriptor& signals) {
  const auto profile = setup.profile;
  DeviceLine device;
  const auto make_body = [&]() -> std::unique_ptr<rig::Camera> {
    if (!options.serial.empty()) return make_cabled(options, profile, device.clock, device.stop);
    return std::make_unique<PacedBody>(
        std::move(setup), device.clock, device.stop,
        [&](const sim::RecordedFrame& frame) {
          if (opened.record) opened.record->append(frame);
        },
        eyes.draw);
  };
  Channel<Punctuality> prepared;
  const auto shoot = [&] {
    Punctuality punctuality;
    make_process_punctual(punctuality);
    make_thread_punctual(punctuality);
    prepared.put({std::move(punctuality)});
    drive(options.rig, profile, *make_body(), device);
  };
  const auto speak = [&] {
    wait_until(std::nullopt, {&prepared.bell()});
    LineSetup line{options.rig,
                   options.socket_folder,
                   identity_of(options, profile),
                   to_text(prepared.take().front()),
                   from_seconds(options.linger_s),
                   eyes.see};
    talk(std::move(line), std::move(opened.socket), signals.get(), device);
  };
  run_both(device, shoot, speak);
}

}  // namespace

int serve(const CameraOptions& options, const MakeCabled& make_cabled, const Eyes& eyes) {
  if (!options.serial.empty() && !make_cabled) {
    return refuse(environment_failed,
                  {error_at({}, "no-library", "this noonfall-camera was built without libgphoto2",
                            "one built where libgphoto2-dev is installed, or --simulate")});
  }
  auto setup = body_of(options);
  if (!setup) {
    return refuse(unreadable(setup.error()) ? environment_failed : input_has_errors, setup.error());
  }
  const auto signals = take_end_signals();
  auto opened = open_all(options);
  if (!opened) return refuse(environment_failed, opened.error());
  spdlog::info("serves rig {} with {} {}", options.rig, setup->profile.name, options.serial);
  if (opened->record) setup->taken_before = opened->record->taken_before();
  work(options, std::move(*setup), make_cabled, eyes, *opened, signals);
  return 0;
}

}  // namespace noonfall::worker
