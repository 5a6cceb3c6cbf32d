#include "tests/wire/bodies.h"

#include <arpa/inet.h>
#include <poll.h>
#include <signal.h>
#include <sys/socket.h>

#include <cstdlib>
#include <thread>

#include <doctest/doctest.h>

#include "daemon/posix/unix_socket.h"
#include "daemon/worker/body_record.h"
#include "sim/body/fault_text.h"

namespace noonfall::tests {
namespace {

posix::Process started(const posix::Command& command) {
  auto process = posix::Process::start(command);
  if (!process) throw std::runtime_error(to_text(process.error()));
  return std::move(*process);
}

std::vector<std::string> joined(std::vector<std::string> first, const std::vector<std::string>& then) {
  first.insert(first.end(), then.begin(), then.end());
  return first;
}

sockaddr_in loopback(std::uint16_t port) {
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(port);
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  return address;
}

bool listens_on(std::uint16_t port) {
  const posix::FileDescriptor socket{::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)};
  const auto address = loopback(port);
  return ::connect(socket.get(), reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0;
}

}  // namespace

std::uint16_t free_port() {
  const posix::FileDescriptor socket{::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)};
  auto address = loopback(0);
  socklen_t size = sizeof address;
  REQUIRE(::bind(socket.get(), reinterpret_cast<const sockaddr*>(&address), size) == 0);
  REQUIRE(::getsockname(socket.get(), reinterpret_cast<sockaddr*>(&address), &size) == 0);
  return ntohs(address.sin_port);
}

Usb::Usb(const std::string& driver) {
  ::setenv("NOONFALL_BODIES", folder_.path("").c_str(), 1);
  ::setenv("IOLIBS", driver.empty() ? NOONFALL_DRIVERS : driver.c_str(), 1);
  ::setenv("HOME", folder_.path("").c_str(), 1);
  ::setenv("LC_ALL", "C", 1);
}

Body::Body(const Usb& usb, const std::string& family, std::vector<std::string> options,
           const std::string& name, const std::string& profile)
    : Body{usb, name,
           joined({"--bus-dir", usb.folder().path(""), "--name", name, "--family", family, "--simulate",
                   profile},
                  options),
           [&] {
             const auto folder = usb.folder().path("");
             return posix::connect_in(folder, name + ".body", posix::SocketKind::datagrams).is_open();
           }} {}

Body Body::on_network(const Usb& usb, const std::string& family, std::uint16_t port) {
  return {usb,
          "one",
          {"--network-port", std::to_string(port), "--family", family, "--simulate", "mirrorless-20"},
          [&] { return listens_on(port); }};
}

Body::Body(const Usb& usb, const std::string& name, std::vector<std::string> arguments,
           const std::function<bool()>& listens)
    : record_{usb.folder().path(name + ".record")},
      process_{started({NOONFALL_BODY, joined(std::move(arguments), {"--record", record_}),
                        usb.folder().path("home"), usb.folder().path(name + ".err")})} {
  const auto give_up = std::chrono::steady_clock::now() + patience;
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
  (void)process_.end();
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
