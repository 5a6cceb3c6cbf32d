#include "sim/wire/line_messages.h"

namespace noonfall::wire {
namespace {

Bytes rest_of(const ByteReader& reader) {
  return {reader.left().begin(), reader.left().end()};
}

}  // namespace

Bytes encode(const LineRequest& request) {
  ByteWriter writer;
  writer.u8(static_cast<std::uint8_t>(request.verb)).u32(request.most).u32(request.timeout_ms);
  return writer.raw(request.bytes).take();
}

Bytes encode(const LineAnswer& answer) {
  return ByteWriter{}.u32(static_cast<std::uint32_t>(answer.result)).raw(answer.bytes).take();
}

Bytes encode(const BusPlace& place) {
  return ByteWriter{}.u16(place.bus).u16(place.address).u16(place.vendor).u16(place.product).take();
}

std::optional<LineRequest> decode_line_request(ByteView bytes) {
  ByteReader reader{bytes};
  const auto verb = reader.u8();
  if (verb > static_cast<std::uint8_t>(LineRequest::Verb::reset)) return std::nullopt;
  const auto most = reader.u32();
  const auto timeout_ms = reader.u32();
  if (!reader.ok()) return std::nullopt;
  return LineRequest{static_cast<LineRequest::Verb>(verb), most, timeout_ms, rest_of(reader)};
}

std::optional<LineAnswer> decode_line_answer(ByteView bytes) {
  ByteReader reader{bytes};
  const auto result = static_cast<std::int32_t>(reader.u32());
  if (!reader.ok()) return std::nullopt;
  return LineAnswer{result, rest_of(reader)};
}

std::optional<BusPlace> decode_bus_place(ByteView bytes) {
  ByteReader reader{bytes};
  const BusPlace place{reader.u16(), reader.u16(), reader.u16(), reader.u16()};
  return reader.done() ? std::optional{place} : std::nullopt;
}

}  // namespace noonfall::wire
