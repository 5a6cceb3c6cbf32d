// Whatever a host sends over the cable: what is understood is understood again when written back, and a body
// answers in whole containers, whatever its family.
#include <span>

#include "lib/body/shipped.h"
#include "sim/wire/line_messages.h"
#include "sim/wire/ptp_codes.h"
#include "sim/wire/ptpip_line.h"
#include "sim/wire/usb_line.h"
#include "tests/fuzz/property.h"
#include "tests/unit/sim_wire/ptp_decoding.h"

using namespace noonfall;

namespace {

constexpr Utc noon{std::chrono::sys_days{std::chrono::year{2027} / 8 / 2} + std::chrono::hours{12}};

template <class Decode>
void check_round_trip(wire::ByteView bytes, Decode decode) {
  const auto value = decode(bytes);
  if (!value) return;
  const auto again = decode(wire::encode(*value));
  fuzz::require(again && *again == *value, "what is written back is read as the same");
}

sim::BodySetup setup() {
  static const auto profile = body::find_shipped("mirrorless-20").value();
  sim::BodySetup small;
  small.profile = profile;
  small.profile.files = {{0.1}, {0.05}};  // objects that don't take the time of the run
  return small;
}

/// Sony's dataset of all properties: as many as it says, each the standard's with a byte more.
void check_all_properties(wire::ByteView bytes) {
  wire::ByteReader reader{bytes};
  const auto count = reader.u32();
  (void)reader.u32();
  for (std::uint32_t n = 0; n < count; ++n) {
    (void)reader.u16();
    const auto like = wire::value_of_type(reader.u16());
    fuzz::require(like.has_value(), "a property has a type");
    (void)reader.u16();  // how it is changed, and whether
    for (int value = 0; value < 2; ++value) (void)wire::read_like(reader, *like);
    const auto form = reader.u8();
    const auto values = form == 2 ? reader.u16() : form == 1 ? 3 : 0;
    for (int value = 0; value < values; ++value) (void)wire::read_like(reader, *like);
  }
  fuzz::require(reader.done(), "a dataset of all properties is whole");
}

/// Panasonic's: the value and its list stand where the driver looks for them (ptp.c:1680).
void check_setting(wire::ByteView bytes, std::size_t value_size) {
  constexpr std::size_t value_at = 88;
  fuzz::require(bytes.size() > value_at + value_size + 4, "a setting has its heads");
  wire::ByteReader reader{bytes.subspan(value_at + value_size)};
  const auto count = reader.u32();
  fuzz::require(reader.left().size() == count * value_size, "a setting's list is whole");
}

/// Fujifilm's news.
void check_changes(wire::ByteView bytes) {
  wire::ByteReader reader{bytes};
  const auto count = reader.u16();
  fuzz::require(reader.left().size() == std::size_t{6} * count, "news are as many as they say");
}

/// What the families with datasets of their own say after all that.
void check_datasets(wire::Family family, wire::PtpBody& body, Utc now) {
  const auto data = [&](std::uint16_t code, std::uint32_t parameter) {
    (void)body.answer({wire::operation::open_session, {1}, {}}, now);
    auto reply = body.answer({code, {parameter}, {}}, now);
    fuzz::require(reply.data.has_value(), "a body has its datasets whatever came before");
    return *reply.data;
  };
  if (family == wire::Family::sony) check_all_properties(data(0x9209, 0));
  if (family == wire::Family::fuji) check_changes(data(wire::operation::get_device_prop_value, 0xD212));
  if (family != wire::Family::panasonic) return;
  for (const std::uint32_t setting : {0x02000020U, 0x02000030U}) check_setting(data(0x9108, setting), 4);
  check_setting(data(0x9108, 0x02000040), 2);
}

void check_body(wire::Family family, wire::ByteView bytes) {
  wire::PtpBody body{{family}, setup()};
  wire::UsbLine line{body};
  line.write(wire::encode(wire::container(wire::ContainerType::command, 0x1002, 0, {1})), noon);
  line.write(bytes, noon + std::chrono::seconds{1});
  Utc now = noon + std::chrono::seconds{1};
  while (const auto at = line.readable_at()) {
    now = std::max(now, *at);
    const auto read = line.read(1U << 30U, now);
    fuzz::require(read && wire::decode_container(*read), "what a body sends is a whole container");
  }
  while (const auto event = body.event(now)) {
    fuzz::require(event->type == wire::ContainerType::event, "the interrupt pipe holds events");
  }
  check_datasets(family, body, now);
}

/// The same bytes as packets of a host that has made its connections.
void check_network(wire::ByteView bytes) {
  wire::PtpBody body{{wire::Family::generic}, setup()};
  wire::PtpipLine line{body};
  constexpr int connection = 1;
  const auto init = wire::ByteWriter{}.u32(8).u32(1).take();
  fuzz::require(line.take(connection, init, noon), "a host is let in");
  if (!line.take(connection, bytes, noon)) line.leave(connection);
  while (const auto at = line.next_at()) {
    const auto sent = line.next(*at);
    if (!sent) break;
    fuzz::require(wire::stated_length(sent->bytes) == sent->bytes.size(), "a packet has its length");
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const wire::ByteView bytes{data, size};
  check_round_trip(bytes, wire::decode_container);
  check_round_trip(bytes, wire::decode_device_info);
  check_round_trip(bytes, wire::decode_storage_info);
  check_round_trip(bytes, wire::decode_object_info);
  check_round_trip(bytes, wire::decode_property_description);
  check_round_trip(bytes, wire::decode_line_request);
  check_round_trip(bytes, wire::decode_line_answer);
  for (const auto& facts : wire::families) check_body(facts.family, bytes);
  check_network(bytes);
  return 0;
}
