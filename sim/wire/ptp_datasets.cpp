#include "sim/wire/ptp_datasets.h"

#include <utility>

namespace noonfall::wire {
namespace {

// Each layout stands once, as the fields in their order; writing and reading walk the same list.

void put(ByteWriter& writer, std::uint16_t value) {
  writer.u16(value);
}
void put(ByteWriter& writer, std::uint32_t value) {
  writer.u32(value);
}
void put(ByteWriter& writer, std::uint64_t value) {
  writer.u64(value);
}
void put(ByteWriter& writer, const std::string& value) {
  writer.text(value);
}
void put(ByteWriter& writer, const std::vector<std::uint16_t>& values) {
  writer.array(values);
}

void get(ByteReader& reader, std::uint16_t& value) {
  value = reader.u16();
}
void get(ByteReader& reader, std::uint32_t& value) {
  value = reader.u32();
}
void get(ByteReader& reader, std::uint64_t& value) {
  value = reader.u64();
}
void get(ByteReader& reader, std::string& value) {
  value = reader.text();
}
void get(ByteReader& reader, std::vector<std::uint16_t>& values) {
  values = reader.array_u16();
}

template <class Visit>
void fields(auto& info, Visit visit, const DeviceInfo* /*layout*/) {
  visit(info.standard_version, info.vendor_extension, info.vendor_extension_version,
        info.vendor_extension_words, info.functional_mode, info.operations, info.events, info.properties,
        info.capture_formats, info.image_formats, info.manufacturer, info.model, info.version, info.serial);
}

template <class Visit>
void fields(auto& info, Visit visit, const StorageInfo* /*layout*/) {
  visit(info.storage_type, info.filesystem_type, info.access, info.capacity, info.free_bytes,
        info.free_images, info.words, info.label);
}

template <class Visit>
void fields(auto& info, Visit visit, const ObjectInfo* /*layout*/) {
  visit(info.storage, info.format, info.protection, info.size, info.thumb_format, info.thumb_size,
        info.thumb_width, info.thumb_height, info.width, info.height, info.bit_depth, info.parent,
        info.association_type, info.association, info.sequence, info.name, info.captured, info.modified,
        info.keywords);
}

template <class Info>
Bytes encoded(const Info& info) {
  ByteWriter writer;
  fields(
      info, [&](const auto&... field) { (put(writer, field), ...); }, static_cast<const Info*>(nullptr));
  return writer.take();
}

template <class Info>
std::optional<Info> decoded(ByteView bytes) {
  ByteReader reader{bytes};
  Info info;
  fields(
      info, [&](auto&... field) { (get(reader, field), ...); }, static_cast<const Info*>(nullptr));
  return reader.done() ? std::optional{std::move(info)} : std::nullopt;
}

}  // namespace

Bytes encode(const DeviceInfo& info) {
  return encoded(info);
}
Bytes encode(const StorageInfo& info) {
  return encoded(info);
}
Bytes encode(const ObjectInfo& info) {
  return encoded(info);
}

std::optional<DeviceInfo> decode_device_info(ByteView bytes) {
  return decoded<DeviceInfo>(bytes);
}
std::optional<StorageInfo> decode_storage_info(ByteView bytes) {
  return decoded<StorageInfo>(bytes);
}
std::optional<ObjectInfo> decode_object_info(ByteView bytes) {
  return decoded<ObjectInfo>(bytes);
}

}  // namespace noonfall::wire
