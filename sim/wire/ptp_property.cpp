#include "sim/wire/ptp_property.h"

#include <type_traits>
#include <utility>

#include "lib/base/match.h"

namespace noonfall::wire {
namespace {

constexpr std::uint16_t text_type = 0xFFFF;
constexpr std::size_t number_types = std::variant_size_v<Value> - 1;

template <std::size_t... I>
std::optional<Value> zero_of(std::size_t index, std::index_sequence<I...> /*all*/) {
  std::optional<Value> zero;
  ((index == I ? void(zero.emplace(std::in_place_index<I>)) : void()), ...);
  return zero;
}

Form read_form(ByteReader& reader, const Value& like) {
  switch (reader.u8()) {
    case 1: {
      auto least = read_like(reader, like);
      auto most = read_like(reader, like);
      return ValueRange{std::move(least), std::move(most), read_like(reader, like)};
    }
    case 2: {
      ValueList values;
      for (auto count = reader.u16(); count > 0 && reader.ok(); --count) {
        values.push_back(read_like(reader, like));
      }
      return values;
    }
    default:
      return std::monostate{};
  }
}

void write_form(ByteWriter& writer, const Form& form) {
  std::visit(Match{[&](std::monostate) { writer.u8(0); },
                   [&](const ValueRange& range) {
                     writer.u8(1);
                     for (const auto* value : {&range.least, &range.most, &range.step}) write(writer, *value);
                   },
                   [&](const ValueList& values) {
                     writer.u8(2).u16(static_cast<std::uint16_t>(values.size()));
                     for (const auto& value : values) write(writer, value);
                   }},
             form);
}

}  // namespace

std::uint16_t type_code(const Value& value) {
  if (value.index() == number_types) return text_type;
  return static_cast<std::uint16_t>(value.index() + 1);
}

std::optional<Value> value_of_type(std::uint16_t type_code) {
  if (type_code == text_type) return Value{std::string{}};
  if (type_code == 0 || type_code > number_types) return std::nullopt;
  return zero_of(type_code - 1U, std::make_index_sequence<number_types>{});
}

std::int64_t number(const Value& value) {
  return std::visit(Match{[](const std::string&) { return std::int64_t{0}; },
                          [](auto plain) { return static_cast<std::int64_t>(plain); }},
                    value);
}

void write(ByteWriter& writer, const Value& value) {
  std::visit(Match{[&](const std::string& text) { writer.text(text); },
                   [&](auto plain) {
                     auto rest = static_cast<std::uint64_t>(plain);
                     for (std::size_t i = 0; i < sizeof plain; ++i, rest >>= 8) {
                       writer.u8(static_cast<std::uint8_t>(rest));
                     }
                   }},
             value);
}

Value read_like(ByteReader& reader, const Value& same_type) {
  return std::visit(Match{[&](const std::string&) -> Value { return reader.text(); },
                          [&](auto plain) -> Value {
                            std::uint64_t value = 0;
                            for (std::size_t i = 0; i < sizeof plain; ++i) {
                              value |= std::uint64_t{reader.u8()} << (8 * i);
                            }
                            return static_cast<decltype(plain)>(value);
                          }},
                    same_type);
}

Bytes encode(const PropertyDescription& description) {
  ByteWriter writer;
  writer.u16(description.code).u16(type_code(description.current));
  writer.u8(static_cast<std::uint8_t>(description.access));
  write(writer, description.factory_default);
  write(writer, description.current);
  write_form(writer, description.form);
  return writer.take();
}

std::optional<PropertyDescription> decode_property_description(ByteView bytes) {
  ByteReader reader{bytes};
  PropertyDescription description;
  description.code = reader.u16();
  const auto like = value_of_type(reader.u16());
  if (!like) return std::nullopt;
  const auto access = reader.u8();
  if (access > 1) return std::nullopt;
  description.access = static_cast<Access>(access);
  description.factory_default = read_like(reader, *like);
  description.current = read_like(reader, *like);
  if (!reader.left().empty() && reader.left().front() > 2) return std::nullopt;
  description.form = read_form(reader, *like);
  return reader.done() ? std::optional{std::move(description)} : std::nullopt;
}

}  // namespace noonfall::wire
