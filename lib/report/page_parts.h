// The parts of the report page, each a piece of XHTML that stands by itself.
#pragma once

#include <string>
#include <string_view>

#include "lib/report/summary.h"
#include "lib/time/zone.h"

namespace noonfall::report {

/// What the page shows as a picture: planned under shot, rig by rig, with contacts and camera filters.
[[nodiscard]] std::string timeline_picture(const Summary& summary, const LocalClock& local, Utc from,
                                           Utc until);
[[nodiscard]] std::string lateness_picture(const Lateness& lateness);
/// Signal to noise reached, and planned, by height; of one rig.
[[nodiscard]] std::string worth_picture(const Worth& worth);
/// How many frames were exposed for each row of the exposure table; of one rig.
[[nodiscard]] std::string sampled_picture(const std::vector<Sampled>& sampled, std::string_view rig);

/// Sections with a heading; empty where there is nothing to say.
[[nodiscard]] std::string steps_section(const Summary& summary, const LocalClock& local);
[[nodiscard]] std::string story_sections(const Summary& summary, const LocalClock& local);
[[nodiscard]] std::string contacts_section(const Summary& summary, const LocalClock& local);
[[nodiscard]] std::string filters_section(const Summary& summary, const LocalClock& local);
[[nodiscard]] std::string clock_section(const Summary& summary, const LocalClock& local);
[[nodiscard]] std::string cards_section(const Summary& summary);

}  // namespace noonfall::report
