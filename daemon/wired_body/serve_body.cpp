#include "daemon/wired_body/serve_body.h"

#include <algorithm>
#include <chrono>
#include <optional>

#include "daemon/command_line/exit.h"
#include "daemon/diagnostic/log.h"
#include "daemon/pictures/small_jpeg.h"
#include "daemon/posix/boot_time.h"
#include "daemon/posix/text_file.h"
#include "daemon/posix/unix_socket.h"
#include "daemon/wired_body/body_server.h"
#include "daemon/wired_body/network_server.h"
#include "daemon/worker/body_record.h"
#include "daemon/worker/wait.h"
#include "sim/wire/line_fault_script.h"

namespace noonfall::wired_body {
namespace {

int refuse(command_line::Exit exit, const Diagnostics& errors) {
  diagnostic::tell(errors);
  return static_cast<int>(exit);
}

bool unreadable(const Diagnostics& errors) {
  return std::ranges::any_of(errors, [](const auto& error) { return error.code == "file"; });
}

/// Ids of bodies the driver knows, so that it treats each as one of its family; the generic one is known by
/// its class alone.
wire::BusPlace place_of(const BodyOptions& options) {
  if (options.identity.traits.new_model) return {options.bus, 1, 0xFFFF, 0x0002};
  const auto& facts = wire::facts_of(options.identity.family);
  return {options.bus, 1, facts.usb_vendor, facts.usb_product};
}

Result<std::vector<wire::LineFault>> read_line_faults(const std::string& path, Utc start) {
  if (path.empty()) return std::vector<wire::LineFault>{};
  const auto text = posix::read_text_file(path);
  if (!text) return fail(text.error());
  auto faults = wire::parse_line_faults(*text, start);
  if (!faults) attach_source(faults.error(), path, *text);
  return faults;
}

Result<posix::FileDescriptor> listen(const BodyOptions& options) {
  if (options.network_port) return listen_on_loopback(*options.network_port);
  return posix::listen_in(options.bus_folder, options.name + ".body", posix::SocketKind::datagrams);
}

ClockMapping utc_now() {
  return {posix::boot_now(), std::chrono::floor<std::chrono::microseconds>(std::chrono::system_clock::now())};
}

}  // namespace

int serve_body(BodyOptions options) {
  const auto clock = utc_now();
  auto traits = wire::with_traits(wire::traits_of(options.identity.family), options.traits);
  if (!traits) return refuse(command_line::Exit::bad_command_line, traits.error());
  options.identity.traits = std::move(*traits);
  auto setup = worker::body_of(options.camera);
  auto line_faults = read_line_faults(options.line_faults, clock.utc);
  if (!setup || !line_faults) {
    Diagnostics errors;
    if (!setup) append(errors, setup.error());
    if (!line_faults) append(errors, line_faults.error());
    return refuse(unreadable(errors) ? command_line::Exit::environment : command_line::Exit::work_has_errors,
                  errors);
  }
  const auto signals = worker::take_end_signals();
  std::optional<worker::RecordFile> record;
  if (!options.camera.record.empty()) {
    auto opened = worker::RecordFile::open(options.camera.record);
    if (!opened) return refuse(command_line::Exit::environment, opened.error());
    setup->taken_before = opened->taken_before();
    record.emplace(std::move(*opened));
  }
  auto listener = listen(options);
  if (!listener) return refuse(command_line::Exit::environment, listener.error());
  const auto transaction =
      options.transaction_ms ? from_seconds(*options.transaction_ms / 1000) : wire::transaction_time;
  wire::PtpBody body{options.identity, std::move(*setup), std::move(*line_faults), transaction};
  body.draw_by(pictures::drawn_by(options.sky));
  const auto note = [&](const sim::RecordedFrame& frame) {
    if (record) record->append(frame);
  };
  const auto linger = options.linger_s ? std::optional{from_seconds(*options.linger_s)} : std::nullopt;
  if (options.network_port) {
    NetworkServer{std::move(*listener), body, clock, note}.serve(signals.get());
  } else {
    BodyServer{std::move(*listener), body, place_of(options), clock, note}.serve(signals.get(), linger);
  }
  return static_cast<int>(command_line::Exit::done);
}

}  // namespace noonfall::wired_body
