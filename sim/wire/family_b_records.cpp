#include "sim/wire/family_b_records.h"

#include "lib/base/match.h"
#include "sim/wire/object_content.h"
#include "sim/wire/ptp_codes.h"

namespace noonfall::wire::family_b_records {
namespace {

enum : std::uint32_t {
  object_added = 0xC181,
  object_wants_transfer = 0xC186,
  property_value = 0xC189,
  property_choices = 0xC18A,
  camera_status = 0xC18B,
  panel_info = 0xC1A5,
};

Bytes record(std::uint32_t kind, Bytes content) {
  const auto size = static_cast<std::uint32_t>(8 + content.size());
  return ByteWriter{}.u32(size).u32(kind).raw(content).take();
}

// One file of an image format: 16 bytes that say so, what it is, its size and its compression.
constexpr std::uint32_t one_file = 0x10;
constexpr std::uint32_t is_jpeg = 1;
constexpr std::uint32_t is_raw = 6;

void put_file(ByteWriter& writer, std::uint32_t format) {
  const bool raw = (format & 0x08U) != 0;
  writer.u32(one_file).u32(raw ? is_raw : is_jpeg).u32(format >> 4U).u32(format & 0x07U);
}

void put_format(ByteWriter& writer, std::uint32_t format) {
  const auto second = format & 0xFFU;
  writer.u32(second == 0 ? 1 : 2);
  put_file(writer, format >> 8U);
  if (second != 0) put_file(writer, second);
}

std::uint32_t read_file(ByteReader& reader) {
  const auto length = reader.u32();
  const auto kind = reader.u32();
  const auto size = reader.u32();
  const auto compression = reader.u32();
  if (length != one_file || size > 0xF || compression > 7) return 0;
  return size << 4U | compression | (kind == is_raw ? 0x08U : 0U);
}

std::optional<std::uint32_t> read_format(ByteReader& reader) {
  const auto files = reader.u32();
  const auto first = read_file(reader);
  const auto second = files == 2 ? read_file(reader) : 0;
  if (!reader.ok() || first == 0) return std::nullopt;
  return first << 8U | second;
}

void put_value(ByteWriter& writer, std::uint16_t property, const Value& value) {
  std::visit(Match{[&](const std::string& text) {
                     for (const char c : text) writer.u8(static_cast<std::uint8_t>(c));
                     writer.u8(0);
                   },
                   [&](auto plain) {
                     const auto bits = static_cast<std::uint32_t>(plain);
                     property == code::image_format ? put_format(writer, bits) : void(writer.u32(bits));
                   }},
             value);
}

/// Names stand in plain ASCII with their end.
void put_name(ByteWriter& writer, std::string_view name) {
  for (const char c : name) writer.u8(static_cast<std::uint8_t>(c));
  writer.u8(0);
}

}  // namespace

Bytes value_record(const PropertyDescription& property) {
  ByteWriter content;
  content.u32(property.code);
  put_value(content, property.code, property.current);
  return record(property_value, content.take());
}

Bytes choices_record(const PropertyDescription& property) {
  const auto* values = std::get_if<ValueList>(&property.form);
  if (values == nullptr) return {};
  ByteWriter content;
  content.u32(property.code).u32(3).u32(static_cast<std::uint32_t>(values->size()));
  for (const auto& value : *values) put_value(content, property.code, value);
  return record(property_choices, content.take());
}

Bytes added_record(const CardObject& object) {
  ByteWriter content;
  content.u32(object.handle).u32(object.store).u16(object_format(object, raw_file)).zeros(10);
  content.u32(object.size).u32(object.parent).u32(object.handle);
  put_name(content, object.name);
  return record(object_added, content.take());
}

Bytes transfer_record(const CardObject& object) {
  ByteWriter content;
  content.u32(object.handle).u16(object_format(object, raw_file)).zeros(6).u32(object.size).zeros(4);
  put_name(content, object.name);
  return record(object_wants_transfer, content.take());
}

Bytes status_record(std::uint32_t status) {
  return record(camera_status, ByteWriter{}.u32(status).take());
}

/// Of the panel only what says how focusing went.
Bytes focus_record(bool focused) {
  constexpr std::uint32_t focus_part = 0x0100;
  const Bytes went = focused ? Bytes{0, 0, 0, 0, 0, 0} : Bytes{0, 0, 0, 2, 0, 0};
  constexpr std::uint32_t length_and_mask = 8;
  return record(panel_info, ByteWriter{}.u32(length_and_mask + 6).u32(focus_part).raw(went).take());
}

Bytes button_record(std::uint16_t state) {
  constexpr std::uint16_t button_part = 0x0001;
  constexpr std::uint32_t length = 10;
  return record(panel_info, ByteWriter{}.u32(length).u16(button_part).u16(0).u16(state).take());
}

Bytes end_record() {
  return record(0, {});
}

std::optional<std::uint32_t> read_value(std::uint32_t property, ByteView bytes) {
  ByteReader reader{bytes};
  if (property == code::image_format) return read_format(reader);
  const auto value = reader.u32();
  return reader.ok() ? std::optional{value} : std::nullopt;
}

}  // namespace noonfall::wire::family_b_records
