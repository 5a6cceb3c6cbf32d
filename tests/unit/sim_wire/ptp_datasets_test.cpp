#include <doctest/doctest.h>

#include "tests/unit/sim_wire/ptp_decoding.h"

using namespace noonfall::wire;

namespace {

DeviceInfo some_device() {
  DeviceInfo info;
  info.vendor_extension = 0x0000000A;
  info.operations = {0x1001, 0x1002};
  info.events = {0x4002};
  info.properties = {0x5001};
  info.image_formats = {0x3801};
  info.manufacturer = "Invented";
  info.model = "N 20";
  info.serial = "0012";
  return info;
}

template <class Decode>
void check_every_cut_refused(const Bytes& bytes, Decode decode) {
  for (std::size_t size = 0; size < bytes.size(); ++size) {
    CAPTURE(size);
    CHECK_FALSE(decode(ByteView{bytes}.first(size)));
  }
  auto longer = bytes;
  longer.push_back(0);
  CHECK_FALSE(decode(ByteView{longer}));
}

}  // namespace

TEST_CASE("a string is a count with its end, then UCS-2, an empty one is a zero") {
  // ISO 15740, the string type (from memory).
  CHECK(ByteWriter{}.text("AB").take() == Bytes{3, 'A', 0, 'B', 0, 0, 0});
  CHECK(ByteWriter{}.text("").take() == Bytes{0});
  CHECK(ByteWriter{}.text(std::string(300, 'x')).take().size() == 1 + 2 * 255);
}

TEST_CASE("an array is a 32-bit count, then its items") {
  // ISO 15740, array types (from memory).
  const std::vector<std::uint16_t> two{0x1001, 0x1002};
  CHECK(ByteWriter{}.array(two).take() == Bytes{2, 0, 0, 0, 0x01, 0x10, 0x02, 0x10});
}

TEST_CASE("an array said to be longer than what is there is refused, not allocated") {
  const Bytes huge{0xFF, 0xFF, 0xFF, 0xFF, 1, 0};
  ByteReader reader{huge};
  CHECK(read_array<std::uint16_t>(reader).empty());
  CHECK_FALSE(reader.ok());
}

TEST_CASE("a string without its end is refused") {
  const Bytes endless{1, 'A', 0};
  ByteReader reader{endless};
  CHECK(reader.text().empty());
  CHECK_FALSE(reader.ok());
}

TEST_CASE("a body's description is read back as it was written, and refused when cut") {
  const auto info = some_device();
  const auto bytes = encode(info);
  CHECK(decode_device_info(bytes) == info);
  check_every_cut_refused(bytes, decode_device_info);
}

TEST_CASE("a body's description starts with the standard's version and the vendor extension") {
  // ISO 15740, DeviceInfo dataset: version 1.00 is 100 (from memory).
  const auto bytes = encode(some_device());
  CHECK(Bytes(bytes.begin(), bytes.begin() + 8) == Bytes{100, 0, 0x0A, 0, 0, 0, 100, 0});
}

TEST_CASE("a store's description is read back as it was written, and refused when cut") {
  const StorageInfo info{4, 3, 0, 64'000'000'000, 63'000'000'000, 2520, "card", "NOON"};
  const auto bytes = encode(info);
  CHECK(decode_storage_info(bytes) == info);
  check_every_cut_refused(bytes, decode_storage_info);
}

TEST_CASE("an object's description has 52 bytes before its name and is read back as it was written") {
  ObjectInfo info;
  info.storage = 0x00010001;
  info.format = 0x3801;
  info.size = 9'000'000;
  info.parent = 2;
  info.name = "NOON0001.JPG";
  info.captured = "20270802T085112";
  const auto bytes = encode(info);
  // ISO 15740, ObjectInfo dataset: the sum of the fixed fields (from memory).
  CHECK(bytes[52] == 13);
  CHECK(decode_object_info(bytes) == info);
  check_every_cut_refused(bytes, decode_object_info);
}
