#include <algorithm>
#include <cmath>

#include "lib/report/drawing.h"
#include "lib/report/page_parts.h"
#include "lib/report/words.h"

namespace noonfall::report {
namespace {

constexpr double width = 480;

}  // namespace

std::string lateness_picture(const Lateness& lateness) {
  constexpr double height = 220;
  constexpr double base = 168;
  constexpr double highest = 136;
  const auto most = *std::max_element(lateness.frames.begin(), lateness.frames.end());
  const auto bars = lateness.frames.size();
  const double each = width / static_cast<double>(bars);
  std::string out;
  for (std::size_t n = 0; n < bars; ++n) {
    const double x = each * static_cast<double>(n);
    const double tall = most == 0 ? 0 : highest * lateness.frames[n] / most;
    out += box(x + 4, base - tall, each - 8, tall, "shot");
    if (lateness.frames[n] > 0)
      out += label(x + each / 2, base - tall - 5, fmt::format("{}", lateness.frames[n]), "middle");
    const bool last = n + 1 == bars;
    const auto bound = Lateness::up_to_ms[last ? n - 1 : n];
    out += label(x + each / 2, base + 17, fmt::format("{}{:g}", last ? "> " : "≤ ", bound), "middle", "soft");
  }
  out += stroke(0, base, width, base, "axis");
  out += label(width / 2, base + 40, "milliseconds from its instant to the opening of the shutter", "middle",
               "soft");
  return drawing(width, height, "Lateness histogram", out);
}

std::string worth_picture(const Worth& worth) {
  constexpr double height = 220;
  constexpr double base = 168;
  constexpr double highest = 136;
  double most = 10;
  for (const auto* all : {&worth.planned, &worth.reached})
    for (const auto& signal : *all) most = std::max(most, signal.to_noise);
  const double decades = std::ceil(std::log10(most) * 2) / 2;
  const auto tall = [&](double to_noise) {
    return highest * std::clamp(std::log10(std::max(to_noise, 1.0)) / decades, 0.0, 1.0);
  };
  std::string out;
  for (int decade = 0; decade <= static_cast<int>(decades); ++decade) {
    const double y = base - highest * decade / decades;
    out += stroke(44, y, width, y, decade == 0 ? "axis" : "grid");
    out += label(38, y + 4, fmt::format("{:.0f}", std::pow(10, decade)), "end", "soft");
  }
  const double each = (width - 50) / static_cast<double>(std::max<std::size_t>(worth.planned.size(), 1));
  for (std::size_t n = 0; n < worth.planned.size(); ++n) {
    const double x = 50 + each * static_cast<double>(n);
    const double planned = tall(worth.planned[n].to_noise);
    const double reached = tall(worth.reached[n].to_noise);
    out += box(x + each * 0.12, base - planned, each * 0.32, planned, "planned");
    out += box(x + each * 0.48, base - reached, each * 0.32, reached, "shot");
    out += label(x + each * 0.64, base - reached - 5, to_noise_text(worth.reached[n].to_noise), "middle");
    out += label(x + each * 0.46, base + 17, fmt::format("{:g}", worth.planned[n].radii), "middle", "soft");
  }
  out += label(width / 2, base + 40, "solar radii above the limb; light: as planned, dark: as shot", "middle",
               "soft");
  return drawing(width, height, "Signal to noise by height", out);
}

std::string sampled_picture(const std::vector<Sampled>& sampled, std::string_view rig) {
  constexpr double row_height = 22;
  constexpr double from = 130;
  constexpr double longest = width - from - 60;
  int most = 1;
  for (const auto& each : sampled)
    if (each.rig == rig) most = std::max(most, each.frames);
  std::string out;
  double y = 4;
  for (const auto& each : sampled) {
    if (each.rig != rig) continue;
    out += label(from - 10, y + 14, each.subject, "end");
    const bool none = each.frames == 0;
    const double wide = none ? 26 : std::max(longest * each.frames / most, 2.0);
    out += box(from, y + 3, wide, row_height - 7, none ? "gap" : "shot");
    out += label(from + wide + 7, y + 14, none ? "gap" : fmt::format("{}", each.frames));
    y += row_height;
  }
  out += stroke(from, 2, from, y, "axis");
  return drawing(width, y + 4, "Frames for each row of the exposure table", out);
}

}  // namespace noonfall::report
