#include "daemon/posix/line_splitter.h"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <vector>

namespace noonfall::worker {
namespace {

std::vector<std::string> all(posix::LineSplitter& splitter) {
  std::vector<std::string> lines;
  while (auto line = splitter.next()) lines.push_back(std::move(*line));
  return lines;
}

}  // namespace

TEST_CASE("lines come out whole however the bytes came in") {
  CHECK(rc::check([] {
    const auto lines = *rc::gen::container<std::vector<std::string>>(
        rc::gen::container<std::string>(rc::gen::elementOf(std::string{"ab {}\r\x01\xff"})));
    std::string bytes;
    for (const auto& line : lines) bytes += line + "\n";
    posix::LineSplitter splitter{1000};
    std::vector<std::string> got;
    while (!bytes.empty()) {
      const auto size = *rc::gen::inRange<std::size_t>(1, bytes.size() + 1);
      splitter.add(std::string_view{bytes}.substr(0, size));
      for (auto& line : all(splitter)) got.push_back(std::move(line));
      bytes.erase(0, size);
    }
    RC_ASSERT(got == lines);
    RC_ASSERT(splitter.half_line() == 0U);
  }));
}

TEST_CASE("a line may be as long as the limit with its end, and no longer") {
  posix::LineSplitter fits{5};
  fits.add("abcd\nx");
  CHECK(all(fits) == std::vector<std::string>{"abcd"});
  CHECK_FALSE(fits.too_long());
  CHECK(fits.half_line() == 1);
  posix::LineSplitter ended{5};
  ended.add("ok\nabcde\nok\n");
  CHECK(all(ended) == std::vector<std::string>{"ok"});
  CHECK(ended.too_long());
  posix::LineSplitter endless{5};
  endless.add("abcde");
  CHECK(all(endless).empty());
  CHECK(endless.too_long());
  endless.add("\nok\n");
  CHECK(all(endless).empty());
}

}  // namespace noonfall::worker
