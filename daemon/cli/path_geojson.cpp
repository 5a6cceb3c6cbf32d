#include <cmath>

#include <nlohmann/json.hpp>

#include "daemon/cli/path_output.h"
#include "lib/contacts/cut_line.h"
#include "lib/json/json.h"

namespace noonfall::cli {
namespace {

using contacts::PathLine;
using contacts::Site;
using nlohmann::ordered_json;

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
