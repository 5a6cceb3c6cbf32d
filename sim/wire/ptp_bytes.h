// Numbers, strings and arrays as PTP writes them, little endian (ISO 15740).
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace noonfall::wire {

using Bytes = std::vector<std::uint8_t>;
using ByteView = std::span<const std::uint8_t>;

class ByteWriter {
 public:
  ByteWriter& u8(std::uint8_t value) { return unsigned_of(value, 1); }
  ByteWriter& u16(std::uint16_t value) { return unsigned_of(value, 2); }
  ByteWriter& u32(std::uint32_t value) { return unsigned_of(value, 4); }
  ByteWriter& u64(std::uint64_t value) { return unsigned_of(value, 8); }
  /// Counted UCS-2 with its end; at most 254 characters. What isn't ASCII becomes '?'.
  ByteWriter& text(std::string_view ascii);
  ByteWriter& array(std::span<const std::uint16_t> values);
  ByteWriter& array(std::span<const std::uint32_t> values);
  ByteWriter& raw(ByteView bytes);
  ByteWriter& zeros(std::size_t count);

  [[nodiscard]] std::size_t size() const { return bytes_.size(); }
  [[nodiscard]] Bytes take() { return std::move(bytes_); }

 private:
  ByteWriter& unsigned_of(std::uint64_t value, int width);

  Bytes bytes_;
};

/// Reading past the end gives zeros and empty values, and ok() is false from then on.
class ByteReader {
 public:
  explicit ByteReader(ByteView bytes) : left_{bytes} {}

  std::uint8_t u8() { return static_cast<std::uint8_t>(unsigned_of(1)); }
  std::uint16_t u16() { return static_cast<std::uint16_t>(unsigned_of(2)); }
  std::uint32_t u32() { return static_cast<std::uint32_t>(unsigned_of(4)); }
  std::uint64_t u64() { return unsigned_of(8); }
  std::string text();

  [[nodiscard]] ByteView left() const { return left_; }
  [[nodiscard]] bool ok() const { return ok_; }
  /// All was there and nothing is left.
  [[nodiscard]] bool done() const { return ok_ && left_.empty(); }

 private:
  std::uint64_t unsigned_of(std::size_t width);

  ByteView left_;
  bool ok_ = true;
};

}  // namespace noonfall::wire
