#include "sim/wire/ptpip_line.h"

#include <algorithm>
#include <utility>

namespace noonfall::wire {
namespace {

namespace packet {
enum : std::uint32_t {
  init_command_request = 1,
  init_command_ack = 2,
  init_event_request = 3,
  init_event_ack = 4,
  operation_request = 6,
  operation_response = 7,
  event = 8,
  start_data = 9,
  data = 10,
  end_data = 12,
};
}

constexpr std::size_t header = 8;
constexpr std::uint32_t longest_packet = 1U << 20U;  // of a host: far more than any property
constexpr std::uint32_t only_connection = 1;
constexpr std::uint32_t protocol_version = 0x00010000;

/// Who answers: an id of 16 bytes, and a name in UTF-16 with its end.
Bytes acknowledgement() {
  ByteWriter writer;
  writer.u32(only_connection);
  for (std::uint8_t n = 0; n < 16; ++n) writer.u8(n);
  for (const char c : std::string_view{"noonfall"}) writer.u16(static_cast<std::uint8_t>(c));
  return writer.u16(0).u32(protocol_version).take();
}

Bytes rest_of(const ByteReader& reader) {
  return {reader.left().begin(), reader.left().end()};
}

}  // namespace

bool PtpipLine::take(Connection connection, ByteView bytes, Utc now) {
  auto& coming = coming_[connection];
  coming.insert(coming.end(), bytes.begin(), bytes.end());
  while (coming.size() >= header) {
    ByteReader reader{coming};
    const auto length = reader.u32();
    if (length < header || length > longest_packet) return false;
    if (coming.size() < length) return true;
    const Packet packet{reader.u32(),
                        {coming.begin() + header, coming.begin() + static_cast<std::ptrdiff_t>(length)}};
    coming.erase(coming.begin(), coming.begin() + static_cast<std::ptrdiff_t>(length));
    if (!take_packet(connection, packet, now)) return false;
  }
  return true;
}

void PtpipLine::leave(Connection connection) {
  coming_.erase(connection);
  std::erase_if(outgoing_, [&](const Outgoing& each) { return each.connection == connection; });
  if (events_ == connection) events_.reset();
  if (operations_ != connection) return;
  operations_.reset();
  incomplete_.reset();
}

bool PtpipLine::take_packet(Connection connection, const Packet& packet, Utc now) {
  switch (packet.type) {
    case packet::init_command_request:
      if (operations_) return false;  // one host at a time
      operations_ = connection;
      send(connection, now, packet::init_command_ack, acknowledgement());
      return true;
    case packet::init_event_request:
      if (events_ || !operations_) return false;
      events_ = connection;
      send(connection, now, packet::init_event_ack, {});
      return true;
    case packet::operation_request:
      return operations_ == connection && begin_operation(connection, ByteReader{packet.content}, now);
    case packet::start_data:
    case packet::data:
    case packet::end_data:
      return operations_ == connection && take_data(packet, now);
    default:
      return true;  // what a body needn't know
  }
}

bool PtpipLine::begin_operation(Connection /*connection*/, ByteReader content, Utc now) {
  constexpr std::uint32_t host_sends_data = 2;
  const auto phase = content.u32();
  Request request;
  request.code = content.u16();
  const auto transaction = content.u32();
  if (!content.ok() || content.left().size() % 4 != 0) return false;
  while (!content.left().empty()) request.parameters.push_back(content.u32());
  if (phase == host_sends_data) {
    incomplete_ = Incomplete{std::move(request), transaction};
  } else {
    perform(request, transaction, now);
  }
  return true;
}

bool PtpipLine::take_data(const Packet& packet, Utc now) {
  ByteReader content{packet.content};
  const auto transaction = content.u32();
  if (!content.ok() || !incomplete_ || incomplete_->transaction != transaction) return false;
  if (packet.type == packet::start_data) return true;
  const auto part = rest_of(content);
  auto& data = incomplete_->request.data;
  data.insert(data.end(), part.begin(), part.end());
  if (data.size() > longest_packet) return false;
  if (packet.type == packet::end_data) perform(std::exchange(incomplete_, {})->request, transaction, now);
  return true;
}

void PtpipLine::perform(const Request& request, std::uint32_t transaction, Utc now) {
  auto reply = body_.answer(request, std::max(now, free_from_));
  if (reply.at == Utc::max()) return;
  free_from_ = reply.at;
  if (reply.data) {
    ByteWriter start;
    send(*operations_, reply.at, packet::start_data, start.u32(transaction).u64(reply.data->size()).take());
    send(*operations_, reply.at, packet::end_data, ByteWriter{}.u32(transaction).raw(*reply.data).take());
  }
  ByteWriter response;
  response.u16(reply.response).u32(transaction);
  for (const auto parameter : reply.parameters) response.u32(parameter);
  send(*operations_, reply.at, packet::operation_response, response.take());
}

void PtpipLine::send(Connection connection, Utc at, std::uint32_t type, Bytes content) {
  ByteWriter writer;
  writer.u32(static_cast<std::uint32_t>(header + content.size())).u32(type).raw(content);
  outgoing_.push_back({at, connection, writer.take()});
}

std::optional<PtpipLine::Outgoing> PtpipLine::next(Utc now) {
  if (events_) {
    if (const auto told = body_.event(now)) {
      send(*events_, now, packet::event, ByteWriter{}.u16(told->code).u32(0).raw(told->payload).take());
    }
  }
  const auto due = std::ranges::find_if(outgoing_, [&](const Outgoing& each) { return each.at <= now; });
  if (due == outgoing_.end()) return std::nullopt;
  auto next = std::move(*due);
  outgoing_.erase(due);
  return next;
}

std::optional<Utc> PtpipLine::next_at() const {
  std::optional<Utc> at;
  const auto sooner = [&](std::optional<Utc> other) {
    if (other && (!at || *other < *at)) at = other;
  };
  for (const auto& each : outgoing_) sooner(each.at);
  if (events_) sooner(body_.next_event_at());
  return at;
}

}  // namespace noonfall::wire
