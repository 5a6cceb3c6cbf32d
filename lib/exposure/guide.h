// The whole exposure table for one set of gear.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "lib/exposure/brightness.h"
#include "lib/exposure/exposure.h"
#include "lib/exposure/scale.h"
#include "lib/exposure/subject.h"

namespace noonfall::exposure {

struct Gear {
  FNumber aperture;
  Iso iso;
  double filter_density = 5;
  std::span<const Shutter> shutters;  // what the body offers; at least one
};

/// A subject without published or customary brightness (landscape) has none of the values.
struct GuideRow {
  Subject subject;
  std::optional<BrightnessRange> brightness;
  std::optional<Seconds> ideal = {};
  std::optional<Nearest<Shutter>> shutter = {};
};

/// Every subject once, the corona at each height of the published table, by the order of an eclipse.
[[nodiscard]] std::vector<GuideRow> exposure_guide(const Gear& gear);

}  // namespace noonfall::exposure
