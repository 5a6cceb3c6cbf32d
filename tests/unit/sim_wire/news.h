// What bodies of families A and B tell when asked, taken apart.
#pragma once

#include "tests/unit/sim_wire/some_body.h"

namespace noonfall::wire {

struct Pair {
  std::uint16_t code;
  std::uint32_t value;
  bool operator==(const Pair&) const = default;
};

inline std::vector<Pair> events_of_a(Host& host) {
  REQUIRE(host.ask(0x90C7) == response::ok);
  ByteReader reader{*host.last.data};
  std::vector<Pair> all(reader.u16());
  for (auto& pair : all) {
    pair.code = reader.u16();
    pair.value = reader.u32();
  }
  CHECK(reader.done());
  return all;
}

struct Record {
  std::uint32_t kind;
  Bytes content;
};

inline std::vector<Record> records_of_b(Host& host) {
  REQUIRE(host.ask(0x9116) == response::ok);
  ByteReader reader{*host.last.data};
  std::vector<Record> all;
  for (;;) {
    const auto size = reader.u32();
    const auto kind = reader.u32();
    REQUIRE((reader.ok() && size >= 8));
    Record record{kind, {}};
    for (auto n = size; n > 8; --n) record.content.push_back(reader.u8());
    if (kind == 0) break;
    all.push_back(std::move(record));
  }
  CHECK(reader.done());
  return all;
}

inline std::uint16_t set_b(Host& host, std::uint32_t property, std::uint32_t value) {
  return host.ask(0x9110, {}, ByteWriter{}.u32(12).u32(property).u32(value).take());
}

/// The kinds of what family B tells, the camera's state with its value.
inline std::vector<std::uint32_t> kinds(const std::vector<Record>& records) {
  std::vector<std::uint32_t> all;
  for (const auto& record : records) all.push_back(record.kind);
  return all;
}

}  // namespace noonfall::wire
