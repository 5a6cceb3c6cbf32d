#include "lib/shotlog/replay.h"

#include <doctest/doctest.h>

#include "lib/shotlog/codec.h"
#include "tests/unit/shotlog/lines.h"

using namespace noonfall;
using namespace noonfall::shotlog;

namespace {

std::string log_of(const std::vector<Line>& lines) {
  std::string bytes;
  for (const auto& line : lines) bytes += encode(line);
  return bytes;
}

}  // namespace

TEST_CASE("a log cut at every byte replays to a prefix, and its end says where to go on") {
  const auto lines = one_of_each();
  const auto bytes = log_of(lines);
  for (std::size_t cut = 0; cut <= bytes.size(); ++cut) {
    const auto replayed = replay(std::string_view{bytes}.substr(0, cut));
    CAPTURE(cut);
    REQUIRE(replayed.lines.size() <= lines.size());
    const std::vector<Line> prefix{lines.begin(),
                                   lines.begin() + static_cast<std::ptrdiff_t>(replayed.lines.size())};
    REQUIRE(replayed.lines == prefix);
    REQUIRE(replayed.sound_size == log_of(prefix).size());
    REQUIRE(replayed.torn_tail == (replayed.sound_size != cut));
    REQUIRE(replayed.damage.empty());
  }
}

TEST_CASE("a bad line at the end is a torn tail, one in the middle is damage and the rest is kept") {
  const auto lines = one_of_each();
  auto bytes = log_of(lines);
  bytes[bytes.size() - 3] = 'x';
  CHECK(replay(bytes).torn_tail);
  CHECK(replay(bytes).lines.size() == lines.size() - 1);
  CHECK(replay(bytes).damage.empty());

  bytes = log_of(lines);
  bytes[bytes.find('\n') + 10] = 'x';
  const auto damaged = replay(bytes);
  CHECK_FALSE(damaged.torn_tail);
  CHECK(damaged.lines.size() == lines.size() - 1);
  CHECK(to_text(damaged.damage) ==
        ":2:1: error: the checksum doesn't match\n"
        "  wanted: the line as it was written; it is left out, the rest is kept\n");
  CHECK(damaged.sound_size == bytes.size());
}

TEST_CASE("an empty log has no lines and nothing torn") {
  const auto replayed = replay("");
  CHECK(replayed.lines.empty());
  CHECK_FALSE(replayed.torn_tail);
}
