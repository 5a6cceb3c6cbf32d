// What a host reads of a body: the datasets of ISO 15740 by their layouts (from memory), apart from how
// bodies here write them.
#pragma once

#include <optional>
#include <utility>

#include "sim/wire/ptp_datasets.h"
#include "sim/wire/ptp_property.h"

namespace noonfall::wire {

template <class T>
void get(ByteReader& reader, T& value) {
  value = std::get<T>(read_like(reader, Value{T{}}));
}
template <class T>
void get(ByteReader& reader, std::vector<T>& values) {
  for (auto count = reader.u32(); count > 0 && reader.ok(); --count) get(reader, values.emplace_back());
  if (!reader.ok()) values.clear();
}
template <class T>
std::vector<T> read_array(ByteReader& reader) {
  std::vector<T> values;
  get(reader, values);
  return values;
}

/// All fields in their order. Empty when cut short or followed by more, as are all below.
template <class Info>
std::optional<Info> decoded(ByteView bytes, auto fields) {
  ByteReader reader{bytes};
  Info info;
  fields(info, [&](auto&... field) { (get(reader, field), ...); });
  return reader.done() ? std::optional{std::move(info)} : std::nullopt;
}
inline std::optional<DeviceInfo> decode_device_info(ByteView bytes) {
  return decoded<DeviceInfo>(bytes, [](DeviceInfo& info, auto read) {
    read(info.standard_version, info.vendor_extension, info.vendor_extension_version,
         info.vendor_extension_words, info.functional_mode, info.operations, info.events, info.properties,
         info.capture_formats, info.image_formats, info.manufacturer, info.model, info.version, info.serial);
  });
}
inline std::optional<StorageInfo> decode_storage_info(ByteView bytes) {
  return decoded<StorageInfo>(bytes, [](StorageInfo& info, auto read) {
    read(info.storage_type, info.filesystem_type, info.access, info.capacity, info.free_bytes,
         info.free_images, info.words, info.label);
  });
}
inline std::optional<ObjectInfo> decode_object_info(ByteView bytes) {
  return decoded<ObjectInfo>(bytes, [](ObjectInfo& info, auto read) {
    read(info.storage, info.format, info.protection, info.size, info.thumb_format, info.thumb_size,
         info.thumb_width, info.thumb_height, info.width, info.height, info.bit_depth, info.parent,
         info.association_type, info.association, info.sequence, info.name, info.captured, info.modified,
         info.keywords);
  });
}

/// A zero or an empty string of that type; empty for a type that isn't used here.
inline std::optional<Value> value_of_type(std::uint16_t code) {
  for (const Value& zero : {Value{std::int8_t{}}, Value{std::uint8_t{}}, Value{std::int16_t{}},
                            Value{std::uint16_t{}}, Value{std::int32_t{}}, Value{std::uint32_t{}},
                            Value{std::int64_t{}}, Value{std::uint64_t{}}, Value{std::string{}}}) {
    if (type_code(zero) == code) return zero;
  }
  return std::nullopt;
}

inline Form read_form(ByteReader& reader, const Value& like) {
  switch (reader.u8()) {
    case 1: {
      auto least = read_like(reader, like);
      auto most = read_like(reader, like);
      return ValueRange{std::move(least), std::move(most), read_like(reader, like)};
    }
    case 2: {
      ValueList values;
      for (auto count = reader.u16(); count > 0 && reader.ok(); --count)
        values.push_back(read_like(reader, like));
      return values;
    }
    default:
      return std::monostate{};
  }
}

inline std::optional<PropertyDescription> decode_property_description(ByteView bytes) {
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
