#include "lib/time/duration_text.h"

#include <array>
#include <cmath>

#include <fmt/format.h>

#include "lib/base/number.h"

namespace noonfall {
namespace {

struct Unit {
  std::string_view name;
  std::int64_t us;
};

constexpr std::array<Unit, 5> units{
    {{"h", 3'600'000'000}, {"min", 60'000'000}, {"s", 1'000'000}, {"ms", 1'000}, {"us", 1}}};
constexpr std::int64_t longest_us = 1000 * units[0].us;

std::string_view take_while(std::string_view& rest, bool (*wanted)(char)) {
  std::size_t size = 0;
  while (size < rest.size() && wanted(rest[size])) ++size;
  const auto taken = rest.substr(0, size);
  rest.remove_prefix(size);
  return taken;
}

bool is_numeral(char c) {
  return (c >= '0' && c <= '9') || c == '.';
}
bool is_letter(char c) {
  return c >= 'a' && c <= 'z';
}
bool is_space(char c) {
  return c == ' ';
}

}  // namespace

std::optional<Duration> parse_duration(std::string_view text) {
  std::int64_t total = 0;
  std::size_t next_unit = 0;
  bool fraction_seen = false;
  if (text.empty()) return std::nullopt;
  while (!text.empty()) {
    const auto number = parse_decimal(take_while(text, is_numeral));
    take_while(text, is_space);
    const auto name = take_while(text, is_letter);
    while (next_unit < units.size() && units[next_unit].name != name) ++next_unit;
    if (!number || fraction_seen || next_unit == units.size()) return std::nullopt;
    const double us = *number * static_cast<double>(units[next_unit].us);
    if (us > static_cast<double>(longest_us)) return std::nullopt;
    fraction_seen = *number != std::floor(*number);
    total += std::llround(us);
    ++next_unit;
    if (text.empty()) break;
    if (take_while(text, is_space).empty() || text.empty()) return std::nullopt;
  }
  return total <= longest_us ? std::optional{Duration{total}} : std::nullopt;
}

std::string to_text(Duration span) {
  if (span.count() < 0) return "-" + to_text(-span);
  const auto us = span.count();
  if (us == 0) return "0 s";
  if (us < 1'000) return fmt::format("{} us", us);
  if (us < 1'000'000) {
    return us % 1'000 == 0 ? fmt::format("{} ms", us / 1'000)
                           : fmt::format("{}.{:03} ms", us / 1'000, us % 1'000);
  }
  std::string out;
  if (us >= units[0].us) out += fmt::format("{} h ", us / units[0].us);
  if (us % units[0].us >= units[1].us) out += fmt::format("{} min ", us % units[0].us / units[1].us);
  const auto rest = us % units[1].us;
  if (rest % 1'000'000 != 0) {
    auto fraction = fmt::format("{:06}", rest % 1'000'000);
    fraction.erase(fraction.find_last_not_of('0') + 1);
    out += fmt::format("{}.{} s ", rest / 1'000'000, fraction);
  } else if (rest != 0) {
    out += fmt::format("{} s ", rest / 1'000'000);
  }
  out.pop_back();
  return out;
}

}  // namespace noonfall
