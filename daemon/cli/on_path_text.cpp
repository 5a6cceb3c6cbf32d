#include "daemon/cli/on_path_text.h"

#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "daemon/cli/length_text.h"

namespace noonfall::cli {
namespace {

using contacts::Circumstances;
using contacts::Kind;
using contacts::OnPath;
using contacts::PathLine;
using nlohmann::ordered_json;

constexpr Metres of_interest{500'000};

bool is_inside(const Circumstances& found) {
  return found.kind == Kind::total || found.kind == Kind::annular;
}

std::string_view thing(Kind kind) {
  return kind == Kind::total ? "totality" : "the ring";
}

std::string_view compass(Degrees azimuth) {
  constexpr std::array<std::string_view, 8> names{"north", "north-east", "east", "south-east",
                                                  "south", "south-west", "west", "north-west"};
  return names[static_cast<std::size_t>(std::lround(azimuth.value / 45)) % names.size()];
}

/// Three digits, more would be noise.
std::string km(Metres length) {
  const double value = length.value / 1000;
  return fmt::format("{:.{}f} km", value, value < 1 ? 3 : value < 10 ? 2 : value < 100 ? 1 : 0);
}

std::string place_text(const contacts::Site& site) {
  return fmt::format("{:.4f},{:.4f}", site.latitude.value, site.longitude.value);
}

/// Whether there is totality, or a ring, as far as it can be told.
std::string verdict(const Circumstances& found, const OnPath& on) {
  const auto name = thing(is_inside(found) ? found.kind : on.kind_at_limit);
  if (!on.certain) return fmt::format("whether {} happens here can't be told", name);
  return is_inside(found) ? fmt::format("{} is certain here", name)
                          : fmt::format("there is no {} here", name == "totality" ? name : "whole ring");
}

std::string margin(const Circumstances& found, const OnPath& on) {
  const bool real = on.limb == contacts::Limb::profile;
  const auto where =
      fmt::format("{} {} the path{}; nearer limit: {}, {}.\n", km(on.limit.distance),
                  on.inside ? "inside" : "outside", real ? " of a smooth Moon" : "",
                  on.limit_side == PathLine::north ? "northern" : "southern", place_text(on.limit.site));
  const auto known = fmt::format("The limit is known to +- {} (95 %)", km(on.limit_error));
  return where + known + (real ? ".\nBy the Moon's real edge " : ": ") + verdict(found, on) + ".\n";
}

std::string centre(const Circumstances& found, const OnPath& on) {
  if (!on.centre) return "The shadow's axis misses the Earth: this path has no centre line.\n";
  auto text = fmt::format("Centre line: {} away at {}, where it lasts {}", km(on.centre->distance),
                          place_text(on.centre->site), length_text(on.at_centre));
  return text + (is_inside(found) ? fmt::format("; here {}.\n", length_text(on.here)) : std::string{".\n"});
}

ordered_json km_json(Metres length) {
  return std::round(length.value) / 1000;
}

ordered_json point_json(const contacts::NearestPoint& point) {
  const auto rounded = [](Degrees angle) { return std::round(angle.value * 1e5) / 1e5; };
  return {{"distance_km", km_json(point.distance)},
          {"latitude_deg", rounded(point.site.latitude)},
          {"longitude_deg", rounded(point.site.longitude)}};
}

ordered_json gain_json(const std::optional<contacts::Gain>& gain) {
  if (!gain) return nullptr;
  return {{"s_per_km", std::round(gain->seconds_per_km * 1e3) / 1e3},
          {"azimuth_deg", std::round(gain->azimuth.value * 10) / 10}};
}

double seconds_of(Duration span) {
  return std::round(in_seconds(span) * 1e3) / 1e3;
}

}  // namespace

std::string on_path_text(const Circumstances& found, const OnPath& on) {
  if (!is_inside(found) && on.limit.distance > of_interest) return {};
  auto text = margin(found, on) + centre(found, on);
  if (on.gain) {
    text += fmt::format("It grows fastest towards {} ({:.0f} degrees): {:.2f} s a kilometre.\n",
                        compass(on.gain->azimuth), on.gain->azimuth.value, on.gain->seconds_per_km);
  }
  return text;
}

ordered_json on_path_json(const OnPath& on) {
  auto limit = point_json(on.limit);
  limit["side"] = on.limit_side == PathLine::north ? "north" : "south";
  limit["uncertainty_km"] = km_json(on.limit_error);
  ordered_json json{{"inside", on.inside},
                    {"certain", on.certain},
                    {"nearer_limit", std::move(limit)},
                    {"centre_line", nullptr},
                    {"duration_s", seconds_of(on.here)},
                    {"gain", gain_json(on.gain)}};
  if (on.centre) {
    json["centre_line"] = point_json(*on.centre);
    json["centre_line"]["duration_s"] = seconds_of(on.at_centre);
  }
  return json;
}

}  // namespace noonfall::cli
