// From what a body answered in a series to its profile.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lib/base/result.h"
#include "lib/body/description.h"
#include "lib/body/profile.h"
#include "lib/measure/series.h"
#include "lib/measure/stamps.h"

namespace noonfall::measure {

/// Of files that the series left; zero for a kind it left none of.
struct FileSizes {
  Megabytes raw;
  Megabytes jpeg;
};

/// Of the body's own: its times, and from the release until the last shutter had closed or, where that isn't
/// told, the body was free again.
struct MeasuredBracket {
  std::vector<exposure::Shutter> times;
  Duration took{};
};

struct Measured {
  body::Profile profile;
  std::vector<Duration> lags;  // when the opening is inferred: what they can't be more than
  Filling filling;
  std::optional<MeasuredBracket> bracket = {};
  int frames = 0;
  std::vector<std::string> notes;  // what the figures mean and which of them weren't measured, a line each
};

/// `name` as plans will call it. Fails with the reason when the series did, or too little was taken.
[[nodiscard]] Result<Measured> fit(const Series& series, const body::Description& told,
                                   const FileSizes& sizes, const std::string& name);

/// Leaves out the points that the straight line between their neighbours gives to within `tolerance`, and a
/// last one that its forerunner gives.
[[nodiscard]] std::vector<body::IntervalPoint> without_needless(std::vector<body::IntervalPoint> points,
                                                                Duration tolerance);

/// The notes as comments, then the profile: text that body::parse_profile reads.
[[nodiscard]] std::string to_yaml(const Measured& measured);

}  // namespace noonfall::measure
