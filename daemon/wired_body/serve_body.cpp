#include "daemon/wired_body/serve_body.h"

#include <algorithm>
#include <chrono>
#include <optional>
#include <ostream>

#include "daemon/cli/command.h"
#include "daemon/wired_body/body_server.h"
#include "daemon/worker/end_signals.h"
#include "daemon/worker/plan_clock.h"
#include "daemon/worker/record_file.h"
#include "daemon/worker/unix_socket.h"

namespace noonfall::wired_body {
namespace {

int refuse(cli::Exit exit, const Diagnostics& errors, std::ostream& err) {
  err << to_text(errors);
  return static_cast<int>(exit);
}

bool unreadable(const Diagnostics& errors) {
  return std::ranges::any_of(errors, [](const auto& error) { return error.code == "file"; });
}

/// Ids of bodies the driver knows, so that it treats each as one of its family; the generic one is known by
/// its class alone.
wire::BusPlace place_of(const BodyOptions& options) {
  switch (options.identity.family) {
    case wire::Family::a:
      return {options.bus, 1, 0x04B0, 0x0436};
    case wire::Family::b:
      return {options.bus, 1, 0x04A9, 0x3250};
    case wire::Family::generic:
      break;
  }
  return {options.bus, 1, 0xFFFF, 0x0001};
}

ClockMapping utc_now() {
  return {worker::boot_now(),
          std::chrono::floor<std::chrono::microseconds>(std::chrono::system_clock::now())};
}

}  // namespace

int serve_body(const BodyOptions& options, std::ostream& err) {
  auto setup = worker::body_of(options.camera);
  if (!setup) {
    return refuse(unreadable(setup.error()) ? cli::Exit::environment : cli::Exit::work_has_errors,
                  setup.error(), err);
  }
  const auto signals = worker::take_end_signals();
  std::optional<worker::RecordFile> record;
  if (!options.camera.record.empty()) {
    auto opened = worker::RecordFile::open(options.camera.record);
    if (!opened) return refuse(cli::Exit::environment, opened.error(), err);
    setup->taken_before = opened->taken_before();
    record.emplace(std::move(*opened));
  }
  auto listener =
      worker::listen_in(options.bus_folder, options.name + ".body", worker::SocketKind::datagrams);
  if (!listener) return refuse(cli::Exit::environment, listener.error(), err);
  wire::PtpBody body{options.identity, std::move(*setup)};
  BodyServer{std::move(*listener), body, place_of(options), utc_now(),
             [&](const sim::RecordedFrame& frame) {
               if (record) record->append(frame);
             }}
      .serve(signals.get());
  return static_cast<int>(cli::Exit::done);
}

}  // namespace noonfall::wired_body
