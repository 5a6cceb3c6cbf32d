// What a rig, a step or an entry of `sets` says about its exposure and bracket.
#pragma once

#include <optional>
#include <vector>

#include "lib/plan/plan.h"
#include "lib/yaml/map_reader.h"

namespace noonfall::plan {

/// "exposure: {shutter, aperture, iso}"; an absent field is an empty choice.
[[nodiscard]] ExposureChoice read_exposure(const yaml::Field& field);
/// The three keys out of a mapping that may hold others.
[[nodiscard]] ExposureChoice read_exposure_keys(yaml::MapReader& map);

/// "bracket: {…}" of one of the three shapes.
[[nodiscard]] std::optional<Bracket> read_bracket(const yaml::Field& field);
/// The same out of a mapping that may hold other keys; empty when none of a bracket's keys is there.
[[nodiscard]] std::optional<Bracket> read_bracket_keys(yaml::MapReader& map, const yaml::Field& whole);

/// "sets: […]": each entry the keys of an exposure, of a bracket, or of both.
[[nodiscard]] std::vector<SetChoice> read_sets(const yaml::Field& field);

/// An error where a bracket and a shutter choice both name the shutter times.
void refuse_shutter_twice(const ExposureChoice& exposure, const std::optional<Bracket>& bracket,
                          Diagnostics& findings);

}  // namespace noonfall::plan
