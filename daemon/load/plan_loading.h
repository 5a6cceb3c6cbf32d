// From a plan's file to its timeline: what every command that takes a PLAN does first.
#pragma once

#include <cstddef>
#include <optional>
#include <string>

#include "daemon/command_line/exit.h"
#include "daemon/load/limb_data.h"
#include "lib/base/diagnostic.h"
#include "lib/contacts/circumstances.h"
#include "lib/contacts/contact.h"
#include "lib/contacts/elements.h"
#include "lib/contacts/settings.h"
#include "lib/plan/plan.h"
#include "lib/shotlog/line.h"
#include "lib/timeline/build.h"

namespace noonfall::load {

inline constexpr std::size_t most_plan_bytes = std::size_t{1} << 20U;

struct PlanSource {
  std::string path;
  std::string bodies;  // a folder of further body profiles; empty for none
  LeapSeconds leap_seconds;
  timeline::Assumptions assumptions;
  timeline::Strictness strictness = timeline::Strictness::plan_check;
  const shotlog::Header* logged = nullptr;  // of the run that goes on: its contacts are taken
  LimbRequest limb = {};
  std::optional<std::string> text = std::nullopt;  // of the file, when it was read already
};

/// What the contacts were computed with, as the shot log's header has it.
struct SkyBasis {
  contacts::Limb limb = contacts::Limb::mean;
  std::string limb_file;  // empty with the mean limb
  Arcseconds solar_radius = auwers_solar_radius;
};

/// As far as it got. `findings` has the errors and warnings of every stage, with file and source line.
struct LoadedPlan {
  std::string text;
  std::optional<plan::Plan> plan;
  std::optional<contacts::Circumstances> circumstances;
  SkyBasis basis;
  timeline::Profiles profiles;  // the shipped ones and those of the folder, which win
  std::optional<timeline::Timeline> timeline;
  Diagnostics findings;
  command_line::Exit exit = command_line::Exit::done;  // done only with a timeline
};

/// Of a site that sees neither totality nor the ring, in words.
struct OutsidePath {
  std::string how_far;
  std::string sign;  // what the other sign of the longitude would make of it; empty where that is no better
};

/// Empty inside the path, and for an eclipse whose umbra misses the Earth.
[[nodiscard]] std::optional<OutsidePath> outside_path(const contacts::Elements& elements,
                                                      const contacts::Circumstances& sky,
                                                      const contacts::Settings& settings);

/// Sea-level heights become ellipsoidal by EGM96; without its grid they are taken as they are, and the
/// difference is counted in the contacts' uncertainty.
[[nodiscard]] LoadedPlan load_plan(const PlanSource& source);

}  // namespace noonfall::load
