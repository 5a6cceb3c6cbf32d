#include "lib/time/utc_text.h"

#include <algorithm>

#include <fmt/format.h>

namespace noonfall {
namespace {

using std::chrono::days;
using std::chrono::floor;
using std::chrono::sys_days;

Utc rounded(Utc instant, int decimals) {
  std::int64_t step = 1;
  for (int n = decimals; n < 6; ++n) step *= 10;
  return instant + Duration{step / 2} -
         Duration{((instant.time_since_epoch().count() + step / 2) % step + step) % step};
}

std::string day_text(Utc instant) {
  return to_text(Date{floor<days>(instant)});
}

std::string clock_text(Utc instant, int decimals) {
  const auto day_us = (instant - floor<days>(instant)).count();
  const auto second = day_us / 1'000'000;
  auto text = fmt::format("{:02}:{:02}:{:02}", second / 3600, second / 60 % 60, second % 60);
  if (decimals > 0)
    text += fmt::format(".{:06}", day_us % 1'000'000).substr(0, static_cast<std::size_t>(decimals) + 1);
  return text;
}

/// `width` digits at `at`, or -1.
int digits(std::string_view text, std::size_t at, std::size_t width) {
  if (at + width > text.size()) return -1;
  int value = 0;
  for (const char c : text.substr(at, width)) {
    if (c < '0' || c > '9') return -1;
    value = value * 10 + (c - '0');
  }
  return value;
}

bool has(std::string_view text, std::size_t at, char wanted) {
  return at < text.size() && text[at] == wanted;
}

/// ".123456Z" after the seconds, as microseconds, or -1.
int fraction_us(std::string_view tail) {
  if (tail == "Z") return 0;
  if (tail.size() < 3 || tail.size() > 8 || tail.front() != '.' || tail.back() != 'Z') return -1;
  const auto places = tail.size() - 2;
  int value = digits(tail, 1, places);
  for (auto n = places; n < 6 && value > 0; ++n) value *= 10;
  return value;
}

}  // namespace

std::string to_text(Utc instant) {
  const auto shown = rounded(instant, 3);
  return day_text(shown) + 'T' + clock_text(shown, 3) + 'Z';
}

std::string to_text_us(Utc instant) {
  return day_text(instant) + 'T' + clock_text(instant, 6) + 'Z';
}

std::string to_clock_text(Utc instant, int decimals) {
  const auto places = std::clamp(decimals, 0, 6);
  return clock_text(rounded(instant, places), places);
}

std::string to_minutes(Utc instant) {
  return fmt::format("{} {:.5}", to_text(Date{std::chrono::floor<std::chrono::days>(instant)}),
                     to_clock_text(std::chrono::floor<std::chrono::minutes>(instant), 0));
}

std::string to_text(Date date) {
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(date.year()), static_cast<unsigned>(date.month()),
                     static_cast<unsigned>(date.day()));
}

std::optional<Date> parse_date(std::string_view text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return std::nullopt;
  const int year = digits(text, 0, 4);
  const int month = digits(text, 5, 2);
  const int day = digits(text, 8, 2);
  if (year < 1900 || year > 2199 || month < 1 || day < 1) return std::nullopt;
  const Date date{std::chrono::year{year}, std::chrono::month{static_cast<unsigned>(month)},
                  std::chrono::day{static_cast<unsigned>(day)}};
  return date.ok() ? std::optional{date} : std::nullopt;
}

std::optional<Utc> parse_utc(std::string_view text) {
  const auto date = parse_date(text.substr(0, 10));
  if (!date || (!has(text, 10, 'T') && !has(text, 10, ' '))) return std::nullopt;
  const int hour = digits(text, 11, 2);
  const int minute = digits(text, 14, 2);
  const int second = digits(text, 17, 2);
  const bool in_range = hour >= 0 && hour < 24 && minute >= 0 && minute < 60 && second >= 0 && second < 60;
  if (!in_range || !has(text, 13, ':') || !has(text, 16, ':')) return std::nullopt;
  const int fraction = fraction_us(text.substr(19));
  if (fraction < 0) return std::nullopt;
  return sys_days{*date} + std::chrono::hours{hour} + std::chrono::minutes{minute} +
         std::chrono::seconds{second} + Duration{fraction};
}

}  // namespace noonfall
