// What a body says of itself, its stores and its objects (the DeviceInfo, StorageInfo and ObjectInfo datasets
// of ISO 15740).
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "sim/wire/ptp_bytes.h"

namespace noonfall::wire {

struct DeviceInfo {
  std::uint16_t standard_version = 100;
  std::uint32_t vendor_extension = 0;
  std::uint16_t vendor_extension_version = 100;
  std::string vendor_extension_words;
  std::uint16_t functional_mode = 0;
  std::vector<std::uint16_t> operations;
  std::vector<std::uint16_t> events;
  std::vector<std::uint16_t> properties;
  std::vector<std::uint16_t> capture_formats;
  std::vector<std::uint16_t> image_formats;
  std::string manufacturer;
  std::string model;
  std::string version;
  std::string serial;
  bool operator==(const DeviceInfo&) const = default;
};

struct StorageInfo {
  std::uint16_t storage_type = 0;
  std::uint16_t filesystem_type = 0;
  std::uint16_t access = 0;
  std::uint64_t capacity = 0;    // bytes
  std::uint64_t free_bytes = 0;  // bytes
  std::uint32_t free_images = 0;
  std::string words;
  std::string label;
  bool operator==(const StorageInfo&) const = default;
};

struct ObjectInfo {
  std::uint32_t storage = 0;
  std::uint16_t format = 0;
  std::uint16_t protection = 0;
  std::uint32_t size = 0;  // bytes
  std::uint16_t thumb_format = 0;
  std::uint32_t thumb_size = 0;
  std::uint32_t thumb_width = 0;
  std::uint32_t thumb_height = 0;
  std::uint32_t width = 0;
  std::uint32_t height = 0;
  std::uint32_t bit_depth = 0;
  std::uint32_t parent = 0;
  std::uint16_t association_type = 0;
  std::uint32_t association = 0;
  std::uint32_t sequence = 0;
  std::string name;
  std::string captured;  // "20270802T085112", as are all instants of PTP
  std::string modified;
  std::string keywords;
  bool operator==(const ObjectInfo&) const = default;
};

[[nodiscard]] Bytes encode(const DeviceInfo& info);
[[nodiscard]] Bytes encode(const StorageInfo& info);
[[nodiscard]] Bytes encode(const ObjectInfo& info);

}  // namespace noonfall::wire
