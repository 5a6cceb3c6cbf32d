#include "lib/shotlog/replay.h"

#include <algorithm>
#include <fstream>
#include <iterator>

#include <doctest/doctest.h>

#include "lib/shotlog/codec.h"
#include "tests/source_folder.h"
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

TEST_CASE("a whole log of version 1 is read into facts") {
  std::ifstream file{NOONFALL_SOURCE "/tests/golden/version-1.shots.jsonl"};
  const std::string bytes{std::istreambuf_iterator<char>{file}, {}};
  const auto replayed = replay(bytes);
  CHECK(replayed.lines.size() == 68);
  CHECK(replayed.sound_size == bytes.size());
  CHECK(replayed.damage.empty());
  std::vector<Entry> facts;
  for (const auto& line : replayed.lines) {
    const bool is_fact = std::holds_alternative<CommandLine>(line.entry) ||
                         std::holds_alternative<Skip>(line.entry) ||
                         std::holds_alternative<Ended>(line.entry);
    if (is_fact) facts.push_back(line.entry);
  }
  const Utc due{std::chrono::microseconds{1'795'829'104'636'033}};  // 2026-11-28T01:25:04.636033Z
  const std::vector<Entry> wanted{CommandLine{Hold{"wide angle"}},
                                  Skip{{"wide angle", "land", 3, 1}, due, SkipReason::held},
                                  CommandLine{Resume{"wide angle"}},
                                  CommandLine{Trim{"wide angle", -1.0 / 3}},
                                  CommandLine{SetFilter{"long", FilterState::on}},
                                  CommandLine{ClockOk{}},
                                  Ended{RunEnd::done}};
  CHECK((facts == wanted));
}

TEST_CASE("an empty log has no lines and nothing torn") {
  const auto replayed = replay("");
  CHECK(replayed.lines.empty());
  CHECK_FALSE(replayed.torn_tail);
}

TEST_CASE("in pieces of any size a log reads the same, torn or damaged as it may be") {
  const auto whole = log_of(one_of_each());
  auto damaged = whole;
  damaged[whole.find('\n') + 10] = 'x';
  auto torn = whole;
  torn[whole.size() - 3] = 'x';
  for (const auto& bytes : {whole, damaged, torn, whole + "{\"seq\"", torn + "\n{", std::string{"\n\n"}}) {
    const auto at_once = replay(bytes);
    for (std::size_t size = 1; size < 300; ++size) {
      CAPTURE(size);
      Replayer replayer;
      for (std::size_t at = 0; at < bytes.size(); at += size)
        replayer.take(std::string_view{bytes}.substr(at, size));
      const auto in_pieces = replayer.finish();
      REQUIRE(in_pieces.lines == at_once.lines);
      REQUIRE(in_pieces.sound_size == at_once.sound_size);
      REQUIRE(in_pieces.torn_tail == at_once.torn_tail);
      REQUIRE(to_text(in_pieces.damage) == to_text(at_once.damage));
    }
  }
}

TEST_CASE("a log flooded with refused commands is read without keeping them all, and its end is known") {
  constexpr std::int64_t flood = 50'000;
  Replayer replayer;
  std::size_t size = 0;
  std::int64_t seq = 0;
  const auto write = [&](Entry entry) {
    const auto bytes = encode({++seq, at(seq), {}, std::move(entry)});
    size += bytes.size();
    replayer.take(bytes);
  };
  write(sample_header());
  for (std::int64_t n = 0; n < flood; ++n) write(CommandLine{Hold{"wide"}, "there is no such rig"});
  write(CommandLine{Hold{"long"}});
  for (std::int64_t n = 0; n < flood; ++n) write(Note{"the operator said \"blah\": no such command"});
  const auto replayed = replayer.finish();
  CHECK(replayed.lines.size() <= most_talk + 4);
  CHECK(replayed.lines.back().seq == seq);
  CHECK(replayed.sound_size == size);
  CHECK(replayed.damage.empty());
  CHECK(std::count_if(replayed.lines.begin(), replayed.lines.end(), [](const Line& line) {
          const auto* command = std::get_if<CommandLine>(&line.entry);
          return command != nullptr && command->command == Command{Hold{"long"}};
        }) == 1);
}

TEST_CASE("a line without an end takes no room beyond the longest that could be one") {
  Replayer replayer;
  replayer.take(encode({1, at(0), {}, sample_header()}));
  const std::string zeros(std::size_t{1} << 20U, '\0');
  for (int n = 0; n < 100; ++n) replayer.take(zeros);
  const auto replayed = replayer.finish();
  CHECK(replayed.lines.size() == 1);
  CHECK(replayed.torn_tail);
  CHECK(replayed.sound_size == encode({1, at(0), {}, sample_header()}).size());
}
