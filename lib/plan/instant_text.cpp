#include "lib/plan/instant_text.h"

#include <cmath>

#include <fmt/format.h>

#include "lib/base/number.h"
#include "lib/time/duration_text.h"

namespace noonfall::plan {
namespace {

constexpr Duration farthest_offset = std::chrono::hours{24};
constexpr double farthest_percent = 1000;
constexpr std::string_view of_totality = "of totality";

using Reading = tl::expected<InstantValue, std::string>;

tl::unexpected<std::string> refuse(std::string why) {
  return tl::unexpected{std::move(why)};
}

bool looks_like_a_date(std::string_view text) {
  return text.size() > 4 && text.find_first_not_of("0123456789") == 4 && text[4] == '-';
}

Reading parse_percent(ContactOffset instant, std::string_view text, int sign) {
  auto number = trim(text.substr(0, text.size() - of_totality.size()));
  if (!number.ends_with('%')) return refuse(fmt::format("\"{}\" has no % sign", number));
  number = trim(number.substr(0, number.size() - 1));
  const auto percent = parse_decimal(number);
  if (!percent || number.starts_with('-') || number.starts_with('+') || *percent > farthest_percent) {
    return refuse(fmt::format("\"{}\" isn't a percentage from 0 to {}", number, farthest_percent));
  }
  instant.percent_of_totality = sign * *percent;
  return instant;
}

Reading parse_offset(ContactOffset instant, std::string_view text, int sign) {
  const auto offset = parse_duration(text);
  if (!offset) {
    const bool bare = parse_decimal(text).has_value();
    return refuse(fmt::format("\"{}\" {}", text, bare ? "is a bare number" : "isn't a duration"));
  }
  if (*offset > farthest_offset) return refuse(fmt::format("\"{}\" is farther than 24 h", text));
  instant.offset = sign * *offset;
  return instant;
}

constexpr double fewest = 0.1;
constexpr double most = 10;

std::optional<double> parse_fraction(std::string_view numerator, std::string_view denominator) {
  const auto upper = parse_integer(numerator);
  if (!upper || (denominator != "2" && denominator != "3")) return std::nullopt;
  return static_cast<double>(*upper) / (denominator == "2" ? 2.0 : 3.0);
}

}  // namespace

Reading parse_instant(std::string_view text) {
  if (looks_like_a_date(text)) {
    const auto utc = parse_utc(text);
    return utc ? Reading{*utc} : refuse(fmt::format("\"{}\" isn't a UTC instant", text));
  }
  const auto sign_at = text.find_first_of("+-");
  const auto name = trim(text.substr(0, sign_at));
  const auto contact = contacts::parse_contact_name(name);
  if (!contact) return refuse(fmt::format("\"{}\" doesn't start with a contact", text));
  ContactOffset instant{*contact};
  if (sign_at == std::string_view::npos) return instant;
  const int sign = text[sign_at] == '-' ? -1 : 1;
  const auto rest = trim(text.substr(sign_at + 1));
  return rest.ends_with(of_totality) ? parse_percent(instant, rest, sign) : parse_offset(instant, rest, sign);
}

std::string to_text(const Instant& instant) {
  if (const auto* utc = std::get_if<Utc>(&instant.value)) return to_text_us(*utc);
  const auto& at = std::get<ContactOffset>(instant.value);
  const auto name = contacts::to_text(at.contact);
  if (at.percent_of_totality != 0) {
    return fmt::format("{} {} {} % of totality", name, at.percent_of_totality < 0 ? '-' : '+',
                       decimal_text(std::abs(at.percent_of_totality)));
  }
  if (at.offset == Duration{}) return std::string{name};
  return fmt::format("{} {} {}", name, at.offset < Duration{} ? '-' : '+',
                     noonfall::to_text(std::chrono::abs(at.offset)));
}

std::string decimal_text(double value) {
  constexpr int most_places = 17;
  std::string text;
  for (int places = 0; places <= most_places; ++places) {
    text = fmt::format("{:.{}f}", value, places);
    if (parse_decimal(text) == value) break;
  }
  return text;
}

std::optional<Stops> parse_stops(std::string_view text) {
  for (const std::string_view unit : {"stops", "stop"}) {
    if (!text.ends_with(unit)) continue;
    const auto number = trim(text.substr(0, text.size() - unit.size()));
    const auto slash = number.find('/');
    const auto value = slash == std::string_view::npos
                           ? parse_decimal(number)
                           : parse_fraction(number.substr(0, slash), number.substr(slash + 1));
    if (!value || *value < fewest || *value > most) return std::nullopt;
    return Stops{*value};
  }
  return std::nullopt;
}

std::string to_text(Stops stops) {
  const auto unit = stops.value <= 1 ? "stop" : "stops";
  const auto thirds = std::lround(stops.value * 3);
  const bool in_thirds = thirds % 3 != 0 && static_cast<double>(thirds) / 3.0 == stops.value;
  if (in_thirds) return fmt::format("{}/3 {}", thirds, unit);
  return fmt::format("{} {}", decimal_text(stops.value), unit);
}

}  // namespace noonfall::plan
