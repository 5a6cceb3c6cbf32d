// The first line of a shot log: what the run was given.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "lib/base/sun.h"
#include "lib/shotlog/line.h"
#include "lib/timeline/timeline.h"

namespace noonfall::run {

/// What the timeline doesn't know of itself.
struct Facts {
  shotlog::Mode mode = shotlog::Mode::simulated;
  std::string plan_hash;
  Duration moved{};  // what the timeline was moved by
  std::optional<std::uint64_t> seed = std::nullopt;
  std::string limb = "mean";
  double solar_radius_arcsec = auwers_solar_radius.value;
  bool voice = false;  // cues are spoken too, not only printed
};

[[nodiscard]] shotlog::Header header_of(const timeline::Timeline& timeline, const Facts& facts);

}  // namespace noonfall::run
