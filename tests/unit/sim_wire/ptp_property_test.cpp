#include <doctest/doctest.h>

#include "tests/unit/sim_wire/ptp_decoding.h"

using namespace noonfall::wire;

TEST_CASE("every type of value has the standard's code") {
  // ISO 15740, data type codes (from memory).
  CHECK(type_code(std::int8_t{}) == 0x0001);
  CHECK(type_code(std::uint8_t{}) == 0x0002);
  CHECK(type_code(std::int16_t{}) == 0x0003);
  CHECK(type_code(std::uint16_t{}) == 0x0004);
  CHECK(type_code(std::int32_t{}) == 0x0005);
  CHECK(type_code(std::uint32_t{}) == 0x0006);
  CHECK(type_code(std::int64_t{}) == 0x0007);
  CHECK(type_code(std::uint64_t{}) == 0x0008);
  CHECK(type_code(std::string{}) == 0xFFFF);
  for (const int each : {1, 2, 3, 4, 5, 6, 7, 8, 0xFFFF}) {
    const auto code = static_cast<std::uint16_t>(each);
    const auto zero = value_of_type(code);
    REQUIRE(zero);
    CHECK(type_code(*zero) == code);
  }
  for (const int code : {0, 9, 0x4004}) CHECK_FALSE(value_of_type(static_cast<std::uint16_t>(code)));
}

TEST_CASE("a battery level is written as a range of bytes") {
  // ISO 15740, DevicePropDesc dataset and BatteryLevel: 0x5001, read only, UINT8 (from memory).
  const PropertyDescription battery{0x5001, Access::read_only, std::uint8_t{100}, std::uint8_t{80},
                                    ValueRange{std::uint8_t{0}, std::uint8_t{100}, std::uint8_t{1}}};
  const Bytes bytes{0x01, 0x50, 0x02, 0x00, 0, 100, 80, 1, 0, 100, 1};
  CHECK(encode(battery) == bytes);
  CHECK(decode_property_description(bytes) == battery);
}

TEST_CASE("lists, plain values and strings are read back as they were written") {
  const PropertyDescription f_number{0x5007, Access::read_write, std::uint16_t{280}, std::uint16_t{800},
                                     ValueList{std::uint16_t{280}, std::uint16_t{800}}};
  CHECK(decode_property_description(encode(f_number)) == f_number);
  const PropertyDescription date{
      0x5011, Access::read_write, std::string{}, std::string{"20270802T085112"}, {}};
  CHECK(decode_property_description(encode(date)) == date);
  const PropertyDescription bias{0x5010, Access::read_write, std::int16_t{0}, std::int16_t{-333},
                                 ValueList{std::int16_t{-333}, std::int16_t{0}}};
  CHECK(decode_property_description(encode(bias)) == bias);
}

TEST_CASE("a description that is cut, too long, or of unknown type, access or form is refused") {
  const Bytes bytes{0x01, 0x50, 0x02, 0x00, 0, 100, 80, 1, 0, 100, 1};
  for (std::size_t size = 0; size < bytes.size(); ++size) {
    CHECK_FALSE(decode_property_description(ByteView{bytes}.first(size)));
  }
  const auto with = [&](std::size_t place, std::uint8_t value) {
    auto changed = bytes;
    changed[place] = value;
    return decode_property_description(changed);
  };
  CHECK_FALSE(with(2, 9));
  CHECK_FALSE(with(4, 2));
  CHECK_FALSE(with(7, 3));
  CHECK_FALSE(with(7, 0));
}
