#include <doctest/doctest.h>

#include "sim/wire/ptp_container.h"

using namespace noonfall::wire;

namespace {

// OpenSession (0x1002) for session 1, as the USB annex of ISO 15740 lays it out (from memory): length 16,
// type 1, code, transaction 0, one parameter.
const Bytes open_session{16, 0, 0, 0, 1, 0, 0x02, 0x10, 0, 0, 0, 0, 1, 0, 0, 0};

}  // namespace

TEST_CASE("a command is written as the standard lays it out") {
  CHECK(encode(container(ContainerType::command, 0x1002, 0, {1})) == open_session);
}

TEST_CASE("a container is read back as it was written") {
  const auto read = decode_container(open_session);
  REQUIRE(read);
  CHECK(read->type == ContainerType::command);
  CHECK(read->code == 0x1002);
  CHECK(parameters(*read) == std::vector<std::uint32_t>{1});
  const Container data{ContainerType::data, 0x1016, 7, {0x34, 0x12, 0xFF}};
  CHECK(decode_container(encode(data)) == data);
  CHECK(parameters(data).empty());
}

TEST_CASE("a container whose length isn't that of its bytes is refused") {
  for (std::size_t size = 0; size < open_session.size(); ++size) {
    CHECK_FALSE(decode_container(ByteView{open_session}.first(size)));
  }
  auto longer = open_session;
  longer.push_back(0);
  CHECK_FALSE(decode_container(longer));
}

TEST_CASE("unknown types, cut parameters and more than five of them are refused") {
  for (const int type : {0, 5, 255}) {
    auto bytes = open_session;
    bytes[4] = static_cast<std::uint8_t>(type);
    CHECK_FALSE(decode_container(bytes));
  }
  auto cut = open_session;
  cut.pop_back();
  cut[0] = 15;
  CHECK_FALSE(decode_container(cut));
  CHECK_FALSE(decode_container(encode(container(ContainerType::event, 0x4002, 1, {1, 2, 3, 4, 5, 6}))));
  CHECK(decode_container(encode(container(ContainerType::event, 0x4002, 1, {1, 2, 3, 4, 5}))));
}

TEST_CASE("the stated length is known from four bytes on") {
  CHECK_FALSE(stated_length(ByteView{open_session}.first(3)));
  CHECK(stated_length(ByteView{open_session}.first(4)) == 16);
}
