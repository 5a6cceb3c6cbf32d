#include "daemon/clock/line_assembler.h"

#include <doctest/doctest.h>

#include <algorithm>

namespace noonfall::clock {
namespace {

using Lines = std::vector<std::string>;

}  // namespace

TEST_CASE("lines come out whole however the bytes came in") {
  const std::string text = "{\"class\":\"A\"}\r\n\n{\"class\":\"B\"}\nrest";
  for (std::size_t at_once = 1; at_once <= text.size(); ++at_once) {
    LineAssembler assembler;
    Lines lines;
    for (std::size_t at = 0; at < text.size(); at += at_once) {
      const auto more = assembler.feed(std::string_view{text}.substr(at, at_once));
      lines.insert(lines.end(), more.begin(), more.end());
    }
    CHECK(lines == Lines{"{\"class\":\"A\"}", "", "{\"class\":\"B\"}"});
    CHECK(assembler.held() == 4);
  }
}

TEST_CASE("a line of 16 KiB is taken, one byte more is dropped whole and the next line is fine") {
  LineAssembler assembler;
  const std::string longest(LineAssembler::longest_line, 'a');
  CHECK(assembler.feed(longest + "\n") == Lines{longest});
  CHECK(assembler.feed(longest + "a\nnext\n") == Lines{"next"});
}

TEST_CASE("a megabyte without an end is never held") {
  LineAssembler assembler;
  std::size_t most_held = 0;
  for (int i = 0; i < 1024; ++i) {
    CHECK(assembler.feed(std::string(1024, 'x')).empty());
    most_held = std::max(most_held, assembler.held());
  }
  CHECK(most_held <= LineAssembler::longest_line);
  CHECK(assembler.feed("tail\nnext\n") == Lines{"next"});
}

}  // namespace noonfall::clock
