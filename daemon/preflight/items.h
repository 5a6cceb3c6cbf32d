// What preflight looks at, and how each thing found is judged: passed, a warning, or failed with a remedy.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "daemon/clock/gpsd_reports.h"
#include "lib/body/description.h"
#include "lib/contacts/contact.h"
#include "lib/shotlog/line.h"
#include "lib/time/time_scales.h"

namespace noonfall::preflight {

enum class Verdict { pass, warn, fail };

struct Item {
  std::string name;
  Verdict verdict = Verdict::pass;
  std::string words;        // what was found
  std::string remedy = {};  // what to do about it; empty when it passed
  bool operator==(const Item&) const = default;
};
using Items = std::vector<Item>;

/// "FAIL clock: …", its remedy on a second line.
[[nodiscard]] std::string to_text(const Item& item);

[[nodiscard]] Item judge_clock(const shotlog::ClockState& clock, const std::string& source);

/// The plan's site against a receiver's fix, by the distance and what it makes of C2 (C1 where there is
/// none). Nobody moves the site but the plan.
[[nodiscard]] Item judge_site(const contacts::Circumstances& planned, const LeapSeconds& leap_seconds,
                              const std::optional<clock::GpsPosition>& here);

/// Empty is what the machine doesn't tell, or hasn't.
struct Power {
  std::optional<bool> mains;
  std::optional<int> battery_percent;
  std::optional<bool> lid_open;
};
[[nodiscard]] Item judge_power(const Power& power);

/// `free`: where the run is kept.
[[nodiscard]] Item judge_room(Megabytes free);

/// One body of a rig; `told` is empty where it wasn't found, and then `why` says why not.
[[nodiscard]] Items judge_body(const std::string& rig, const std::optional<body::Description>& told,
                               const std::string& why, const body::Demand& demand);

}  // namespace noonfall::preflight
