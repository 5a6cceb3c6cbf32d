// Whatever gpsd, or whoever sits on its port, says: lines and memory stay bounded, how the bytes are cut up
// doesn't matter, and what is made of the reports is refused with a reason or has a bound.
#include <algorithm>
#include <string>
#include <variant>
#include <vector>

#include "daemon/clock/gps_time.h"
#include "daemon/clock/line_assembler.h"
#include "tests/fuzz/property.h"

using namespace noonfall;
using clock::LineAssembler;

namespace {

std::vector<std::string> lines_of(std::string_view text, std::size_t at_once) {
  LineAssembler assembler;
  std::vector<std::string> all;
  for (; !text.empty(); text.remove_prefix(std::min(at_once, text.size()))) {
    for (auto& line : assembler.feed(text.substr(0, at_once))) all.push_back(std::move(line));
    fuzz::require(assembler.held() <= LineAssembler::longest_line, "no more than a line is held");
  }
  return all;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto text = fuzz::text_of(data, size);
  const auto lines = lines_of(text, LineAssembler::most_at_once);
  fuzz::require(lines == lines_of(text, 7), "lines don't depend on how they were cut up");
  const Utc built{std::chrono::sys_days{std::chrono::year{2026} / 1 / 1}};
  BootTime boot{std::chrono::hours{1}};
  clock::GpsTime gps;
  for (const auto& line : lines) {
    boot += std::chrono::seconds{1};
    const auto report = clock::parse_gpsd_report(line);
    gps.take(report, boot, built + boot.time_since_epoch());
    if (std::holds_alternative<clock::GpsdOther>(report)) continue;
    const auto estimate = gps.estimate(boot, built);
    fuzz::require(estimate ? estimate->bound.count() > 0 : !estimate.error().empty(),
                  "an estimate has a bound, a refusal a reason");
  }
  return 0;
}
