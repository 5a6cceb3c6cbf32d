#include "daemon/worker/body_record.h"

#include <doctest/doctest.h>

namespace noonfall::worker {
namespace {

using namespace std::chrono_literals;

constexpr Utc noon{std::chrono::sys_days{std::chrono::year{2027} / 8 / 2} + 12h};

sim::RecordedFrame frame(int n) {
  return {{0, 2, 1, n},
          noon,
          noon + 61'234us,
          noon + 71'000us,
          {{1, 100}, {}, {400}},
          body::Drive::continuous,
          {"DCIM/100NOONF/NOON0001.RAW", "DCIM/100NOONF/NOON0001.JPG"}};
}

}  // namespace

TEST_CASE("a picture's line reads back as written, to the microsecond") {
  CHECK(to_line(frame(3)) ==
        R"({"frame":[0,2,1,3],"released_utc":"2027-08-02T12:00:00.000000Z",)"
        R"("opened_utc":"2027-08-02T12:00:00.061234Z","closed_utc":"2027-08-02T12:00:00.071000Z",)"
        R"("exposure":["1/100",null,400],"drive":"continuous",)"
        R"("files":["DCIM/100NOONF/NOON0001.RAW","DCIM/100NOONF/NOON0001.JPG"]})"
        "\n");
  CHECK(read_record(to_line(frame(3))) == std::vector{frame(3)});
}

TEST_CASE("a record cut at any byte still gives every whole line") {
  const auto text = to_line(frame(1)) + to_line(frame(2));
  const auto first = to_line(frame(1)).size();
  for (std::size_t size = 0; size <= text.size(); ++size) {
    CAPTURE(size);
    // A line is whole with its last brace, its end is written with it.
    const auto whole =
        static_cast<std::size_t>(size >= first - 1) + static_cast<std::size_t>(size >= text.size() - 1);
    CHECK(read_record(std::string_view{text}.substr(0, size)).size() == whole);
  }
  CHECK(read_record(text.substr(0, 40) + "\n" + to_line(frame(2))) == std::vector{frame(2)});
}

}  // namespace noonfall::worker
