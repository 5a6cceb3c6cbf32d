#include "daemon/cli/path_output.h"

#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "lib/contacts/angles.h"
#include "lib/contacts/circumstances.h"
#include "lib/contacts/on_path.h"
#include "lib/contacts/path.h"
#include "lib/json/json.h"

namespace noonfall::cli {
namespace {

using contacts::ContactName;
using contacts::Kind;
using contacts::PathLine;
using contacts::PathRow;
using contacts::Site;
using nlohmann::ordered_json;

std::string place_cells(const std::optional<Site>& site) {
  return site ? fmt::format(",{:.5f},{:.5f}", site->latitude.value, site->longitude.value) : ",,";
}

std::string centre_cells(const contacts::Shadow& shadow, const PathRow& row) {
  if (!row[PathLine::centre]) return ",,,,";
  const auto& site = *row[PathLine::centre];
  const contacts::Observer observer{site};
  const auto hours = solve(shadow, observer);
  const bool central = hours.kind == Kind::total || hours.kind == Kind::annular;
  const double lasts_s = central ? (hours[ContactName::c3] - hours[ContactName::c2]) * 3600 : 0;
  const auto width = width_at(shadow, site, row.t);
  return fmt::format(",{},{:.1f},{},{:.2f}", contacts::to_text(hours.kind), lasts_s,
                     width ? fmt::format("{:.1f}", width->value / 1000) : "",
                     sun_angles(shadow, row.t, observer).altitude.value);
}

/// Hours from t0 to the last whole step of UTC before it.
double origin_of(const PathAnswer& answer, Duration step) {
  const auto t0 = instant_at(answer.elements, answer.settings, 0);
  return -in_seconds(t0.time_since_epoch() % step) / 3600;
}

ordered_json position(const Site& site) {
  constexpr double metre = 1e5;  // of a degree, nearly: RFC 7946, 11.2 warns of more
  const auto rounded = [](Degrees angle) { return std::round(angle.value * metre) / metre; };
  return {rounded(site.longitude), rounded(site.latitude)};
}

ordered_json positions(const std::vector<Site>& piece) {
  auto list = ordered_json::array();
  for (const auto& site : piece) list.push_back(position(site));
  return list;
}

ordered_json geometry(const std::vector<std::vector<Site>>& pieces) {
  if (pieces.size() == 1) return {{"type", "LineString"}, {"coordinates", positions(pieces.front())}};
  auto lists = ordered_json::array();
  for (const auto& piece : pieces) lists.push_back(positions(piece));
  return {{"type", "MultiLineString"}, {"coordinates", std::move(lists)}};
}

ordered_json properties(const PathAnswer& answer, PathLine line) {
  return {{"name", contacts::to_text(line)},
          {"eclipse", to_text(answer.elements.date)},
          {"type", contacts::to_text(answer.elements.type)},
          {"limb", "mean"},
          {"surface", "WGS84 ellipsoid"},
          {"elements", answer.elements.source},
          {"solar_radius_arcsec", answer.settings.solar_radius.value},
          {"k2", answer.elements.k2}};
}

}  // namespace

std::string path_csv(const PathAnswer& answer, Duration step) {
  std::string out =
      "utc,north_latitude,north_longitude,centre_latitude,centre_longitude,south_latitude,south_longitude,"
      "kind,duration_s,width_km,sun_altitude_deg\n";
  const auto rows = path_rows(answer.shadow, origin_of(answer, step), in_seconds(step) / 3600);
  for (const auto& row : rows) {
    out += to_text(instant_at(answer.elements, answer.settings, row.t));
    for (const auto line : contacts::all_path_lines) out += place_cells(row[line]);
    out += centre_cells(answer.shadow, row) + '\n';
  }
  return out;
}

std::string path_geojson(const PathAnswer& answer) {
  constexpr Metres most_apart{20'000};  // the chord leaves the curve by 8 m
  auto features = ordered_json::array();
  for (const auto line : contacts::all_path_lines) {
    const auto sites = trace(answer.shadow, line, most_apart);
    if (sites.size() < 2) continue;
    features.push_back({{"type", "Feature"},
                        {"properties", properties(answer, line)},
                        {"geometry", geometry(contacts::cut_at_antimeridian(sites))}});
  }
  const ordered_json whole{{"type", "FeatureCollection"}, {"features", std::move(features)}};
  return json::to_line(whole);
}

}  // namespace noonfall::cli
