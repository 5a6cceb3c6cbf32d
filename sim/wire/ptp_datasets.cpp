#include "sim/wire/ptp_datasets.h"

namespace noonfall::wire {
namespace {

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

/// A dataset is its fields in their order.
Bytes encoded(const auto&... fields) {
  ByteWriter writer;
  (put(writer, fields), ...);
  return writer.take();
}

}  // namespace

Bytes encode(const DeviceInfo& info) {
  return encoded(info.standard_version, info.vendor_extension, info.vendor_extension_version,
                 info.vendor_extension_words, info.functional_mode, info.operations, info.events,
                 info.properties, info.capture_formats, info.image_formats, info.manufacturer, info.model,
                 info.version, info.serial);
}
Bytes encode(const StorageInfo& info) {
  return encoded(info.storage_type, info.filesystem_type, info.access, info.capacity, info.free_bytes,
                 info.free_images, info.words, info.label);
}
Bytes encode(const ObjectInfo& info) {
  return encoded(info.storage, info.format, info.protection, info.size, info.thumb_format, info.thumb_size,
                 info.thumb_width, info.thumb_height, info.width, info.height, info.bit_depth, info.parent,
                 info.association_type, info.association, info.sequence, info.name, info.captured,
                 info.modified, info.keywords);
}

}  // namespace noonfall::wire
