// A complete plan for gear at a site: which phases there are, what each rig shoots of them, when hands are
// needed.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lib/body/profile.h"
#include "lib/contacts/contact.h"
#include "lib/plan/plan.h"
#include "lib/plan/print.h"

namespace noonfall::draft {

/// One camera on its mount. Without a filter, and at most 35 mm long, it shoots the landscape.
struct Gear {
  std::string name = "long";
  std::optional<body::Profile> body;  // none: by hand
  Millimetres focal_length{600};
  exposure::FNumber aperture{80};
  std::optional<double> filter_density = 5;
  plan::Mount mount = plan::Mount::fixed;
  std::optional<plan::Sensor> sensor;
};

/// A site that `sky` is for.
struct Request {
  plan::SitePlace site;
  std::vector<Gear> rigs;
  /// How long beads show before C2 or after C3, the longer; absent where the Moon's edge isn't known.
  std::optional<Duration> beads_last = {};
};

struct Drafted {
  plan::Plan plan;
  plan::Comments comments;
};

/// Total where totality is certain and the Sun up all through it, with the filter off; else the partial phase
/// or the ring behind the filter, from sunrise to sunset. Empty where nothing of the eclipse is above the
/// horizon.
[[nodiscard]] std::optional<Drafted> draft(const Request& request, const contacts::Circumstances& sky);

}  // namespace noonfall::draft
