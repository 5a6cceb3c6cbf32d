#include "tests/wire/bodies.h"

#include <poll.h>
#include <signal.h>

#include <cstdlib>
#include <thread>

#include <doctest/doctest.h>

#include "daemon/worker/body_record.h"
#include "daemon/worker/unix_socket.h"
#include "sim/body/fault_text.h"

namespace noonfall::tests {
namespace {

worker::WorkerProcess started(const worker::WorkerCommand& command) {
  auto process = worker::WorkerProcess::start(command);
  if (!process) throw std::runtime_error(to_text(process.error()));
  return std::move(*process);
}

}  // namespace

Usb::Usb() {
  ::setenv("NOONFALL_BODIES", folder_.path("").c_str(), 1);
  ::setenv("IOLIBS", NOONFALL_DRIVERS, 1);
  ::setenv("HOME", folder_.path("").c_str(), 1);
  ::setenv("LC_ALL", "C", 1);
}

Body::Body(const Usb& usb, const std::string& family, std::vector<std::string> options,
           const std::string& name, const std::string& profile)
    : record_{usb.folder().path(name + ".record")}, process_{[&] {
        std::vector<std::string> arguments{
            "--bus-dir", usb.folder().path(""), "--name", name,       "--family",
            family,      "--simulate",          profile,  "--record", record_};
        arguments.insert(arguments.end(), options.begin(), options.end());
        return started(
            {NOONFALL_BODY, arguments, usb.folder().path("home"), usb.folder().path(name + ".err")});
      }()} {
  const auto give_up = std::chrono::steady_clock::now() + patience;
  const auto listens = [&] {
    return worker::connect_in(usb.folder().path(""), name + ".body", worker::SocketKind::datagrams).is_open();
  };
  while (!listens()) {
    const auto said = text_of_file(usb.folder().path(name + ".err"));
    REQUIRE_MESSAGE((std::chrono::steady_clock::now() < give_up && said.empty()), said);
    std::this_thread::sleep_for(std::chrono::milliseconds{5});
  }
}

Body::~Body() {
  process_.signal(SIGKILL);
  pollfd ended{process_.descriptor(), POLLIN, 0};
  ::poll(&ended, 1, -1);
  (void)process_.how_it_ended();
}

std::vector<sim::RecordedFrame> Body::taken() const {
  return worker::read_record(text_of_file(record_));
}

std::vector<std::string> with_line_faults(const Usb& usb, const std::string& entries) {
  return {"--line-faults", usb.folder().file("line.yaml", "noonfall_line_faults: 1\nfaults:\n" + entries)};
}

std::vector<std::string> with_faults(const Usb& usb, const std::vector<sim::Fault>& faults) {
  return {"--faults", usb.folder().file("faults.yaml", sim::to_script("one", faults))};
}

Utc utc_now() {
  return std::chrono::floor<std::chrono::microseconds>(std::chrono::system_clock::now());
}

}  // namespace noonfall::tests
