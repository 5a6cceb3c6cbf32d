// The first line of a shot log: what the run was given.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

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
  bool voice = false;                     // cues are spoken too, not only printed
  bool can_cycle_power = false;           // the bodies'
  std::vector<std::string> serials = {};  // of the bodies, by rig; empty where one isn't known, or none is
  std::vector<std::string> spares = {};   // likewise, of those that may take their places
};

[[nodiscard]] shotlog::Header header_of(const timeline::Timeline& timeline, const Facts& facts);

/// Whether both ask the same of the rigs; what else a header tells its readers may differ.
[[nodiscard]] bool is_same_plan(shotlog::Header one, shotlog::Header other);

/// `computed`, with kind, instants and uncertainties as `header` has them: a restart goes by them whatever
/// has become of tables, limb data and program since. A contact that isn't computed any more has the Sun's
/// place of MID.
[[nodiscard]] contacts::Circumstances as_logged(contacts::Circumstances computed,
                                                const shotlog::Header& header);

}  // namespace noonfall::run
