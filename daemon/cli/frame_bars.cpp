#include "daemon/cli/frame_bars.h"

#include <algorithm>

#include <fmt/format.h>

#include "daemon/cli/palette.h"
#include "lib/exposure/scale.h"

namespace noonfall::cli {
namespace {

constexpr double least_width = 1.3;
constexpr double shortest_share = 0.35;

double stops_of(const exposure::Exposure& exposure) {
  constexpr exposure::Exposure unit{{1, 1}, exposure::FNumber{10}, {100}};
  return stops_between(unit, exposure).value;
}

}  // namespace

double LightRange::share(const exposure::Exposure& exposure) const {
  return most > least ? std::clamp((stops_of(exposure) - least) / (most - least), 0.0, 1.0) : 0.5;
}

LightRange light_range(const timeline::Timeline& timeline) {
  LightRange range{1e9, -1e9};
  const auto take = [&](const exposure::Exposure& exposure) {
    range.least = std::min(range.least, stops_of(exposure));
    range.most = std::max(range.most, stops_of(exposure));
  };
  for (const auto& rig : timeline.rigs)
    for (const auto& step : rig.steps)
      for (const auto& shape : step.shapes)
        std::for_each(shape.exposures.begin(), shape.exposures.end(), take);
  return range.least > range.most ? LightRange{} : range;
}

std::string FrameBars::colour(std::size_t n) {
  return hex(from_little_to_much((static_cast<double>(n) + 0.5) / colours));
}

void FrameBars::add(double x, double width, double share, double bottom) {
  const auto n = std::min(static_cast<std::size_t>(share * colours), colours - 1);
  if (x < free_from_[n]) return;
  free_from_[n] = x + std::max(width, least_width / 2);
  const double height = tallest * (shortest_share + (1 - shortest_share) * share);
  const double shown = std::max(width, least_width);
  paths_[n] += fmt::format("M{:.1f} {:.1f}h{:.1f}v{:.1f}h-{:.1f}z", x, bottom - height, shown, height, shown);
}

std::string FrameBars::svg() const {
  std::string out;
  for (auto n = colours; n-- > 0;)
    if (!paths_[n].empty()) out += fmt::format("<path d=\"{}\" fill=\"{}\"/>\n", paths_[n], colour(n));
  return out;
}

}  // namespace noonfall::cli
