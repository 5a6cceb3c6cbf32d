#include "lib/plan/parse_parts.h"

#include <algorithm>
#include <cctype>

#include <fmt/format.h>

#include "lib/time/duration_text.h"
#include "lib/yaml/field.h"
#include "lib/yaml/typed.h"

namespace noonfall::plan {
namespace {

using namespace std::chrono_literals;

constexpr std::size_t longest_zone = 64;

/// The shape of an IANA name; whether there is such a zone is for the programs that show local time.
bool is_zone_name(std::string_view text) {
  const bool plain = std::all_of(text.begin(), text.end(), [](unsigned char c) {
    return std::isalnum(c) != 0 || c == '/' || c == '_' || c == '-' || c == '+';
  });
  return plain && text.size() <= longest_zone && std::isalpha(static_cast<unsigned char>(text.front())) != 0;
}

std::string read_zone(const yaml::Field& field) {
  constexpr const char* wanted = "a time zone like Europe/Madrid";
  auto zone = yaml::read_text(field, wanted);
  if (!zone) return {};
  if (is_zone_name(*zone)) return std::move(*zone);
  yaml::refuse_text(field, *zone, wanted);
  return {};
}

void read_height(yaml::MapReader& map, const yaml::Field& site, SitePlace& place) {
  const auto elevation = map.optional("elevation");
  const auto ellipsoidal = map.optional("ellipsoidal_height");
  if (!elevation && !ellipsoidal && site.is_mapping()) {
    site.error("missing-key", "no elevation",
               "elevation above mean sea level, like 12 m, or ellipsoidal_height");
  }
  if (elevation && ellipsoidal) {
    ellipsoidal.error("one-of-two", "a second height beside elevation",
                      "elevation or ellipsoidal_height, not both");
  }
  place.ellipsoidal = !elevation && ellipsoidal;
  const auto metres = yaml::read_quantity(place.ellipsoidal ? ellipsoidal : elevation, "m", {-500, 9000},
                                          "a height from -500 to 9000 m, like 12 m");
  place.elevation = {metres.value_or(0)};
}

std::optional<Metres> read_error(const yaml::Field& field, double most_m) {
  if (!field) return std::nullopt;
  const auto metres =
      yaml::read_quantity(field, "m", {0, most_m}, fmt::format("metres from 0 to {:g} m, like 30 m", most_m));
  return metres ? std::optional{Metres{*metres}} : std::nullopt;
}

/// A duration with an optional sign.
std::optional<Duration> parse_signed(std::string_view text) {
  const bool negative = text.starts_with('-');
  if (negative || text.starts_with('+')) text.remove_prefix(1);
  const auto span = parse_duration(text);
  return span && negative ? std::optional{-*span} : span;
}

}  // namespace

SitePlace read_site(const yaml::Field& field) {
  SitePlace place;
  if (!field) return place;
  place.mark = field.mark();
  yaml::MapReader map{field, "the site"};
  place.latitude.value = yaml::read_number(map.required("latitude"), {-90, 90},
                                           "degrees from -90 to 90, north positive, like 36.0139")
                             .value_or(0);
  place.longitude.value = yaml::read_number(map.required("longitude"), {-180, 180},
                                            "degrees from -180 to 180, east positive, like -5.6033")
                              .value_or(0);
  read_height(map, field, place);
  place.position_error = read_error(map.optional("position_error"), 100'000);
  place.elevation_error = read_error(map.optional("elevation_error"), 10'000);
  const auto horizon =
      yaml::read_quantity(map.optional("horizon"), "°", {-5, 60}, "degrees from -5 to 60, like 4°");
  if (horizon) place.horizon = Degrees{*horizon};
  place.zone = read_zone(map.optional("zone"));
  map.finish();
  return place;
}

std::optional<Duration> read_earth(const yaml::Field& field) {
  if (!field) return std::nullopt;
  constexpr const char* wanted = "UT1-UTC between -0.9 s and 0.9 s, like 0.05 s";
  yaml::MapReader map{field, "earth"};
  const auto dut1_field = map.optional("dut1");
  const auto dut1 = yaml::read_as(dut1_field, parse_signed, wanted);
  map.finish();
  if (!dut1 || std::chrono::abs(*dut1) < 900ms) return dut1;
  dut1_field.error("out-of-range", fmt::format("{} is out of range", noonfall::to_text(*dut1)), wanted);
  return std::nullopt;
}

SkyChoice read_sky(const yaml::Field& field) {
  constexpr const char* wanted = "{extinction: 0.25}, or none";
  if (!field) return {};
  if (!field.is_mapping()) {
    const auto word = yaml::read_text(field, wanted);
    if (word && *word != "none") yaml::refuse_text(field, *word, wanted);
    return {false, {}};
  }
  yaml::MapReader map{field, "the sky"};
  const auto extinction = yaml::read_number(map.required("extinction"), {0, 2},
                                            "magnitudes per unit of air mass from 0 to 2, like 0.25");
  map.finish();
  return {true, extinction};
}

}  // namespace noonfall::plan
