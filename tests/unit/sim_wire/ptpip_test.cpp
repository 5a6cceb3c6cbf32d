// Packets by CIPA DC-005 (from memory), checked against the real camera library in tests/wire.
#include "sim/wire/ptpip_line.h"
#include "tests/unit/sim_wire/some_body.h"

using namespace noonfall;
using namespace noonfall::wire;
using namespace std::chrono_literals;

namespace {

Bytes packet(std::uint32_t type, const Bytes& content = {}) {
  return ByteWriter{}.u32(static_cast<std::uint32_t>(8 + content.size())).u32(type).raw(content).take();
}

Bytes operation_packet(std::uint32_t phase, std::uint16_t code, std::uint32_t transaction,
                       const std::vector<std::uint32_t>& parameters = {}) {
  ByteWriter writer;
  writer.u32(phase).u16(code).u32(transaction);
  for (const auto parameter : parameters) writer.u32(parameter);
  return packet(6, writer.take());
}

struct Sent {
  int connection;
  std::uint32_t type;
  Bytes content;
};

/// All that goes out within a second.
std::vector<Sent> sent(PtpipLine& line, Utc now) {
  std::vector<Sent> all;
  while (const auto next = line.next(now + 1s)) {
    ByteReader reader{next->bytes};
    CHECK(reader.u32() == next->bytes.size());
    const auto type = reader.u32();
    all.push_back({next->connection, type, {reader.left().begin(), reader.left().end()}});
  }
  return all;
}

constexpr int operations = 1;
constexpr int events = 2;

/// Both connections made and a session open.
struct Connected {
  PtpBody body{{Family::generic}, some_setup()};
  PtpipLine line{body};

  Connected() {
    CHECK(line.take(operations, packet(1, Bytes(20)), noon));
    CHECK(line.take(events, packet(3, Bytes(4)), noon));
    const auto acknowledged = sent(line, noon);
    REQUIRE(acknowledged.size() == 2);
    CHECK((acknowledged[0].connection == operations && acknowledged[0].type == 2));
    CHECK((acknowledged[1].connection == events && acknowledged[1].type == 4));
    CHECK(line.take(operations, operation_packet(1, operation::open_session, 0, {1}), noon));
    (void)sent(line, noon);
  }
};

}  // namespace

TEST_CASE("an operation's data come as start and end, then the response, all with its transaction") {
  Connected host;
  CHECK(host.line.take(operations, operation_packet(1, operation::get_storage_ids, 7), noon + 2s));
  const auto answers = sent(host.line, noon + 2s);
  REQUIRE(answers.size() == 3);
  CHECK(answers[0].type == 9);
  CHECK(answers[0].content == ByteWriter{}.u32(7).u64(8).take());
  CHECK(answers[1].type == 12);
  CHECK(answers[1].content == ByteWriter{}.u32(7).u32(1).u32(card_storage).take());
  CHECK(answers[2].type == 7);
  CHECK(answers[2].content == ByteWriter{}.u16(response::ok).u32(7).take());
}

TEST_CASE("packets may come byte by byte, and data in several") {
  Connected host;
  Bytes all = operation_packet(2, operation::set_device_prop_value, 8, {property::exposure_index});
  for (const auto& more :
       {packet(9, ByteWriter{}.u32(8).u64(2).take()), packet(10, ByteWriter{}.u32(8).u8(0x90).take()),
        packet(12, ByteWriter{}.u32(8).u8(0x01).take())}) {
    all.insert(all.end(), more.begin(), more.end());
  }
  for (const auto byte : all) CHECK(host.line.take(operations, ByteView{&byte, 1}, noon + 2s));
  const auto answers = sent(host.line, noon + 2s);
  REQUIRE_FALSE(answers.empty());
  CHECK(answers[0].content == ByteWriter{}.u16(response::ok).u32(8).take());
}

TEST_CASE("news go out on the connection for events") {
  Connected host;
  CHECK(host.line.take(operations, operation_packet(1, operation::initiate_capture, 9, {0, 0}), noon + 2s));
  std::vector<std::uint32_t> types;
  for (const auto& each : sent(host.line, noon + 3s)) {
    if (each.connection == events) types.push_back(each.type);
  }
  CHECK(types == std::vector<std::uint32_t>{8, 8});
}

TEST_CASE("what is no PTP/IP, a second host, and data nobody announced close the connection") {
  Connected host;
  CHECK_FALSE(host.line.take(3, packet(1, Bytes(20)), noon));
  CHECK_FALSE(host.line.take(4, packet(3, Bytes(4)), noon));
  CHECK_FALSE(host.line.take(5, Bytes{7, 0, 0, 0, 1, 0, 0, 0}, noon));
  CHECK_FALSE(host.line.take(6, Bytes{0xFF, 0xFF, 0xFF, 0xFF, 1, 0, 0, 0}, noon));
  CHECK_FALSE(host.line.take(operations, packet(12, ByteWriter{}.u32(9).take()), noon));
  CHECK_FALSE(host.line.take(events, operation_packet(1, operation::get_device_info, 1), noon));
  host.line.leave(operations);
  host.line.leave(events);
  CHECK(host.line.take(7, packet(1, Bytes(20)), noon));
}
