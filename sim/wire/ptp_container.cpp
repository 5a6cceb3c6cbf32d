#include "sim/wire/ptp_container.h"

#include <algorithm>

namespace noonfall::wire {

Container container(ContainerType type, std::uint16_t code, std::uint32_t transaction,
                    const std::vector<std::uint32_t>& parameters) {
  ByteWriter payload;
  for (const auto parameter : parameters) payload.u32(parameter);
  return {type, code, transaction, payload.take()};
}

std::vector<std::uint32_t> parameters(const Container& container) {
  if (container.type == ContainerType::data) return {};
  ByteReader reader{container.payload};
  std::vector<std::uint32_t> values(container.payload.size() / 4);
  std::ranges::generate(values, [&] { return reader.u32(); });
  return values;
}

Bytes encode(const Container& container) {
  ByteWriter writer;
  writer.u32(static_cast<std::uint32_t>(header_size + container.payload.size()));
  writer.u16(static_cast<std::uint16_t>(container.type)).u16(container.code).u32(container.transaction);
  return writer.raw(container.payload).take();
}

std::optional<Container> decode_container(ByteView bytes) {
  ByteReader reader{bytes};
  const auto length = reader.u32();
  const auto type = reader.u16();
  Container container;
  container.code = reader.u16();
  container.transaction = reader.u32();
  if (!reader.ok() || length != bytes.size()) return std::nullopt;
  if (type < 1 || type > 4) return std::nullopt;
  container.type = static_cast<ContainerType>(type);
  const auto payload = reader.left();
  const bool has_parameters = container.type != ContainerType::data;
  if (has_parameters && (payload.size() % 4 != 0 || payload.size() / 4 > most_parameters))
    return std::nullopt;
  container.payload.assign(payload.begin(), payload.end());
  return container;
}

std::optional<std::uint32_t> stated_length(ByteView bytes) {
  ByteReader reader{bytes};
  const auto length = reader.u32();
  return reader.ok() ? std::optional{length} : std::nullopt;
}

}  // namespace noonfall::wire
