#include "lib/body/model.h"

#include <doctest/doctest.h>

#include "tests/unit/body/bodies.h"

using namespace noonfall;
using namespace noonfall::body;
using namespace std::chrono_literals;
using noonfall::tests::round_body;

namespace {

constexpr Utc start{1h};
constexpr Megabytes frame{20};  // the round body holds five and writes one a second

}  // namespace

TEST_CASE("an empty buffer has room for as many frames as it holds") {
  const Buffer buffer{round_body()};
  CHECK(buffer.free_frames(start, frame) == 5);
  CHECK(buffer.room_for(5, frame, start));
  CHECK_FALSE(buffer.room_for(6, frame, start));
}

TEST_CASE("frames fill it and the card empties it at the write rate") {
  Buffer buffer{round_body()};
  for (int i = 0; i < 3; ++i) buffer.add(start, frame);
  CHECK(buffer.used(start).value == doctest::Approx(60));
  CHECK(buffer.used(start + 1s).value == doctest::Approx(40));
  CHECK(buffer.free_frames(start, frame) == 2);
  CHECK(buffer.free_frames(start + 999ms, frame) == 2);
  CHECK(buffer.free_frames(start + 1s, frame) == 3);
  CHECK(buffer.used(start + 1h).value == 0);
}

TEST_CASE("a full buffer has room again after one frame's writing") {
  Buffer buffer{round_body()};
  for (int i = 0; i < 5; ++i) buffer.add(start, frame);
  CHECK(buffer.room_at(frame) == start + 1s);
  CHECK(buffer.room_for(1, frame, buffer.room_at(frame)));
  CHECK_FALSE(buffer.room_for(1, frame, buffer.room_at(frame) - 1ms));
}

TEST_CASE("a buffer with room has it at once") {
  Buffer buffer{round_body()};
  buffer.add(start, frame);
  CHECK(buffer.room_at(frame) == start);
}

TEST_CASE("a frame larger than the buffer has room when it is empty") {
  Buffer buffer{round_body()};
  buffer.add(start, Megabytes{40});
  CHECK(buffer.room_at(Megabytes{500}) == start + 2s);
}

TEST_CASE("without a card to write to a full buffer never has room") {
  auto body = round_body();
  body.write_rate = {0};
  Buffer buffer{body};
  for (int i = 0; i < 5; ++i) buffer.add(start, frame);
  CHECK(buffer.room_at(frame) == Utc::max());
}

TEST_CASE("time never runs backwards in a buffer") {
  Buffer buffer{round_body()};
  buffer.add(start, Megabytes{40});
  buffer.add(start - 10s, Megabytes{20});
  CHECK(buffer.used(start - 10s).value == doctest::Approx(60));
  CHECK(buffer.used(start + 1s).value == doctest::Approx(40));
}

TEST_CASE("a copy answers what-if without changing the original") {
  const Buffer buffer{round_body()};
  auto tried = buffer;
  tried.add(start, frame);
  CHECK(buffer.free_frames(start, frame) == 5);
  CHECK(tried != buffer);
}

TEST_CASE("over a long run frames that wait for room come at the write rate") {
  Buffer buffer{round_body()};
  Utc now = start;
  for (int i = 0; i < 1005; ++i) {
    if (!buffer.room_for(1, frame, now)) now = buffer.room_at(frame);
    REQUIRE(buffer.room_for(1, frame, now));
    buffer.add(now, frame);
  }
  CHECK(in_seconds(now - start) == doctest::Approx(1000).epsilon(1e-6));
}
