// The packets of a session over the network, judged by a dissector written by others: Wireshark's for PTP/IP.
#include <fcntl.h>
#include <poll.h>

#include <algorithm>
#include <sstream>
#include <thread>

#include <doctest/doctest.h>

#include "tests/source_folder.h"
#include "tests/wire/bodies.h"
#include "tests/wire/host_camera.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

// The system's own, like the dissector.
const std::string python = "/usr/bin/python3";

bool has_dissector() {
  return run_program("tshark", "--version").exit == 0 && run_program("text2pcap", "--version").exit == 0 &&
         run_program(python, "--version").exit == 0;
}

/// Passes everything on between host and body, and keeps it.
class Listener {
 public:
  Listener(const Usb& usb, std::uint16_t port, std::uint16_t body_port)
      : folder_{usb.folder().path("")},
        process_{std::move(*posix::Process::start({python,
                                                   {NOONFALL_SOURCE "/tests/wire/overhear.py",
                                                    std::to_string(port), std::to_string(body_port), folder_},
                                                   usb.folder().path("home"),
                                                   usb.folder().path("overhear.err")}))} {
    const auto give_up = std::chrono::steady_clock::now() + patience;
    while (!std::filesystem::exists(folder_ + "/listening")) {
      REQUIRE(std::chrono::steady_clock::now() < give_up);
      std::this_thread::sleep_for(std::chrono::milliseconds{5});
    }
  }

  /// Once both connections are closed.
  [[nodiscard]] std::string how_it_ended() const {
    pollfd ended{process_.descriptor(), POLLIN, 0};
    REQUIRE(::poll(&ended, 1, static_cast<int>(std::chrono::milliseconds{patience}.count())) == 1);
    return to_text(process_.end());
  }

 private:
  std::string folder_;
  posix::Process process_;
};

/// As the dissector sees it; empty for what it doesn't find in a packet.
struct Packet {
  bool of_host = false;
  std::string type;
  std::string transaction;
  std::string operation;
  std::string event;
  std::string malformed;
};

std::vector<Packet> dissected(const Usb& usb, const std::string& name) {
  const auto text = usb.folder().path(name + ".txt");
  const auto capture = usb.folder().path(name + ".pcapng");
  REQUIRE(run_program("text2pcap", "-q -D -T 15740,50000 " + text + " " + capture).exit == 0);
  const auto ran =
      run_program("tshark", "-r " + capture +
                                " -d tcp.port==15740,ptpip -T fields -E separator=, -e tcp.srcport -e "
                                "ptpip.pktType -e ptpip.transactionID -e ptpip.opcode "
                                "-e ptpip.eventcode -e _ws.malformed");
  REQUIRE(ran.exit == 0);
  std::vector<Packet> packets;
  std::istringstream lines{ran.out};
  for (std::string line; std::getline(lines, line);) {
    std::istringstream fields{line};
    std::string port;
    Packet packet;
    std::getline(fields, port, ',');
    packet.of_host = port == "50000";
    for (auto* field :
         {&packet.type, &packet.transaction, &packet.operation, &packet.event, &packet.malformed})
      std::getline(fields, *field, ',');
    packets.push_back(std::move(packet));
  }
  return packets;
}

/// The last digits of the types, the host's in brackets.
std::string types_of(const std::vector<Packet>& packets) {
  std::string types;
  for (const auto& packet : packets) {
    const auto type = std::string{"?123456789abcdef"}[std::stoul(packet.type, nullptr, 16)];
    types += packet.of_host ? '(' + std::string{type} + ')' : std::string{type};
  }
  return types;
}

/// The packets of each operation, in the order of operations.
std::vector<std::vector<Packet>> operations(const std::vector<Packet>& packets) {
  std::vector<std::vector<Packet>> each;
  for (const auto& packet : packets) {
    if (packet.type == "0x00000006") each.emplace_back();
    REQUIRE(!each.empty());
    each.back().push_back(packet);
  }
  return each;
}

void session(const std::string& family, std::uint16_t port) {
  HostCamera camera;
  const auto number = std::to_string(port);
  REQUIRE(camera.open({"PTP/IP Camera", "ptpip:127.0.0.1:" + number + ":" + number}) == GP_OK);
  if (family != "generic") camera.settle("capturetarget", "Memory card");
  camera.settle("iso", "400");
  camera.shoot();
  (void)camera.files(1);
  CHECK(camera.close() == GP_OK);
}

}  // namespace

TEST_CASE("over the network every packet is one that a foreign dissector knows") {
  if (!has_dissector()) {
    MESSAGE("SKIPPED: no tshark and text2pcap (Debian's tshark and wireshark-common), or no python3");
    return;
  }
  for (const std::string family : {"generic", "a", "b"}) {
    CAPTURE(family);
    (void)::open("/dev/null", O_RDONLY);  // the library's driver closes descriptor 0 along with its own
    const Usb usb;
    ::setenv("IOLIBS", GPHOTO2_PORT_DRIVERS, 1);
    const auto body_port = free_port();
    const auto body = Body::on_network(usb, family, body_port);
    const auto port = free_port();
    const Listener listener{usb, port, body_port};
    session(family, port);
    CHECK(listener.how_it_ended() == "ended with exit code 0");

    // CIPA DC-005: 1 to 4 open the two connections, 6 asks, 7 answers, 9 10 12 carry data, 8 tells an event.
    auto commands = dissected(usb, "commands");
    auto events = dissected(usb, "events");
    for (const auto* packets : {&commands, &events}) {
      for (const auto& packet : *packets) CHECK(packet.malformed == "");
    }
    REQUIRE(commands.size() > 10);
    CHECK(types_of({commands.begin(), commands.begin() + 2}) == "(1)2");
    commands.erase(commands.begin(), commands.begin() + 2);
    std::vector<std::string> asked;
    for (const auto& each : operations(commands)) {
      asked.push_back(each.front().operation);
      CAPTURE(asked.back());
      const auto types = types_of(each);
      CAPTURE(types);
      CHECK(types.starts_with("(6)"));
      CHECK(types.ends_with("7"));
      const auto data = types.substr(3, types.size() - 4);
      const bool no_data = data.empty();
      const bool to_host = data.starts_with("9") && data.ends_with("c");
      const bool to_body = data.starts_with("(9)") && data.ends_with("(c)");
      CHECK((no_data || to_host || to_body));
      for (const auto& packet : each) CHECK(packet.transaction == each.front().transaction);
    }
    CHECK(asked.front() == "0x1002");                              // OpenSession
    CHECK(asked.back() == "0x1003");                               // CloseSession
    CHECK(std::ranges::count(asked, std::string{"0x1001"}) >= 1);  // GetDeviceInfo
    REQUIRE(events.size() >= 2);
    CHECK(types_of({events.begin(), events.begin() + 2}) == "(3)4");
    if (family == "generic") {
      const auto told = [&](const char* code) { return std::ranges::count(events, code, &Packet::event); };
      CHECK(told("0x4002") == 1);  // ObjectAdded
      CHECK(told("0x400d") == 1);  // CaptureComplete
    }
  }
}
