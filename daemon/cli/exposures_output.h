// What `noonfall exposures` prints: a table for people, or JSON.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lib/base/units.h"
#include "lib/exposure/guide.h"

namespace noonfall::cli {

/// What the command was told and the shutter times it may name.
struct ExposuresQuestion {
  exposure::FNumber aperture;
  exposure::Iso iso;
  double filter_density = 5;
  std::optional<Millimetres> focal_length;
  std::optional<Micrometres> pixel;
  Degrees declination;
  std::string body;  // empty: no body named, third stops
  std::vector<exposure::Shutter> shutters;
};

[[nodiscard]] std::string exposures_text(const ExposuresQuestion& question);
[[nodiscard]] std::string exposures_json(const ExposuresQuestion& question);

/// Where the row's brightness comes from unless printed in the table, how far the shutter is off, and by how
/// many pixels the image trails on a fixed mount. Empty when there is nothing to say.
[[nodiscard]] std::string note_on(const exposure::GuideRow& row, const ExposuresQuestion& question);

[[nodiscard]] std::vector<std::string> cautions();

}  // namespace noonfall::cli
