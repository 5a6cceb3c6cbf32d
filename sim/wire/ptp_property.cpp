#include "sim/wire/ptp_property.h"

#include "lib/base/match.h"

namespace noonfall::wire {
namespace {

constexpr std::uint16_t text_type = 0xFFFF;
constexpr std::size_t number_types = std::variant_size_v<Value> - 1;

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

}  // namespace noonfall::wire
