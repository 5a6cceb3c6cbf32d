#include <cmath>

#include <fmt/format.h>

#include "daemon/cli/path_output.h"
#include "lib/contacts/angles.h"
#include "lib/contacts/circumstances.h"
#include "lib/contacts/nearest.h"

namespace noonfall::cli {
namespace {

using contacts::ContactName;
using contacts::Kind;
using contacts::PathLine;
using contacts::PathRow;
using contacts::Site;

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

}  // namespace noonfall::cli
