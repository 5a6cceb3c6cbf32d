// What travels between host and body: commands, data, responses and events, in their USB containers
// (ISO 15740 and its USB annex).
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "sim/wire/ptp_bytes.h"

namespace noonfall::wire {

enum class ContainerType : std::uint16_t { command = 1, data = 2, response = 3, event = 4 };

inline constexpr std::size_t header_size = 12;
inline constexpr std::size_t most_parameters = 5;

struct Container {
  ContainerType type = ContainerType::command;
  std::uint16_t code = 0;
  std::uint32_t transaction = 0;
  Bytes payload;  // the parameters, unless it is a data container
  bool operator==(const Container&) const = default;
};

/// A command, response or event.
[[nodiscard]] Container container(ContainerType type, std::uint16_t code, std::uint32_t transaction,
                                  const std::vector<std::uint32_t>& parameters = {});

[[nodiscard]] std::vector<std::uint32_t> parameters(const Container& container);

[[nodiscard]] Bytes encode(const Container& container);

/// The whole of `bytes` as one container. Empty when the length field says otherwise, the type is unknown, or
/// parameters are too many or cut.
[[nodiscard]] std::optional<Container> decode_container(ByteView bytes);

/// The length a container says it has, of its first bytes; empty while there are fewer than four.
[[nodiscard]] std::optional<std::uint32_t> stated_length(ByteView bytes);

}  // namespace noonfall::wire
