#include "sim/wire/ptp_bytes.h"

namespace noonfall::wire {
namespace {

constexpr std::size_t longest_text = 254;  // the count is a byte and counts the end too

bool is_ascii(unsigned unit) {
  return unit > 0 && unit < 0x80;
}

}  // namespace

ByteWriter& ByteWriter::unsigned_of(std::uint64_t value, int width) {
  for (int i = 0; i < width; ++i) bytes_.push_back(static_cast<std::uint8_t>(value >> (8 * i)));
  return *this;
}

ByteWriter& ByteWriter::text(std::string_view ascii) {
  ascii = ascii.substr(0, longest_text);
  if (ascii.empty()) return u8(0);
  u8(static_cast<std::uint8_t>(ascii.size() + 1));
  for (const char c : ascii) {
    const auto unit = static_cast<unsigned char>(c);
    u16(is_ascii(unit) ? unit : '?');
  }
  return u16(0);
}

ByteWriter& ByteWriter::array(std::span<const std::uint16_t> values) {
  u32(static_cast<std::uint32_t>(values.size()));
  for (const auto value : values) u16(value);
  return *this;
}

ByteWriter& ByteWriter::array(std::span<const std::uint32_t> values) {
  u32(static_cast<std::uint32_t>(values.size()));
  for (const auto value : values) u32(value);
  return *this;
}

ByteWriter& ByteWriter::raw(ByteView bytes) {
  bytes_.insert(bytes_.end(), bytes.begin(), bytes.end());
  return *this;
}

ByteWriter& ByteWriter::zeros(std::size_t count) {
  bytes_.resize(bytes_.size() + count);
  return *this;
}

std::uint64_t ByteReader::unsigned_of(std::size_t width) {
  if (!ok_ || left_.size() < width) {
    ok_ = false;
    return 0;
  }
  std::uint64_t value = 0;
  for (std::size_t i = 0; i < width; ++i) value |= std::uint64_t{left_[i]} << (8 * i);
  left_ = left_.subspan(width);
  return value;
}

std::string ByteReader::text() {
  const std::size_t units = u8();
  std::string read;
  bool ended = false;  // a second end within the count is passed over
  for (std::size_t i = 0; i < units; ++i) {
    const auto unit = u16();
    ended = ended || unit == 0;
    if (!ended) read += is_ascii(unit) ? static_cast<char>(unit) : '?';
  }
  if (units > 0 && !ended) ok_ = false;
  return ok_ ? read : std::string{};
}

}  // namespace noonfall::wire
