// A log written by hand: one rig, a step of single frames and one of bursts, both within a short totality.
#pragma once

#include <initializer_list>
#include <string>
#include <vector>

#include "lib/report/summary.h"

namespace noonfall::report {

using namespace std::chrono_literals;

inline const exposure::Exposure two_seconds{{2, 1}, exposure::FNumber{80}, {400}};

/// 2027-08-02T10:00:00Z, C2 of these tests, and spans after it.
inline Utc at(Duration after_c2) {
  return Utc{1'817'200'800s} + after_c2;
}

inline shotlog::Header header() {
  shotlog::Header header;
  header.title = "Bench";
  header.eclipse = Date{std::chrono::year{2027}, std::chrono::August, std::chrono::day{2}};
  header.kind = contacts::Kind::total;
  header.contacts = {{contacts::ContactName::c2, at(0s), 3s}, {contacts::ContactName::c3, at(40s), 3200ms}};
  shotlog::PlannedRig rig{
      "long", "mirrorless-20", "", shotlog::PlannedWindow{at(-30s), at(-22s), at(62s), at(70s)}, {}};
  rig.steps = {{"pairs", 12, "corona 0.1 to 4", false, false, at(5s), at(20s), 3, 6, 2},
               {"beads, \"out\"", 20, "beads", false, true, at(30s), at(40s), 4, 8, 2}};
  header.rigs = {rig};
  return header;
}

inline shotlog::FrameName pair(std::int32_t set, std::int32_t frame) {
  return {"long", "pairs", set, frame};
}
inline shotlog::FrameName bead(std::int32_t frame) {
  return {"long", "beads, \"out\"", 1, frame};
}

inline shotlog::Intent intent(const shotlog::FrameName& frame, Duration due) {
  return {frame, 1, at(due), at(due + 2s), two_seconds};
}
inline shotlog::FrameOutcome fired(const shotlog::FrameName& frame, Duration due, Duration late = 0ms,
                                   const std::string& why = {}) {
  return {frame, order::Outcome::fired, at(due), at(due + late), two_seconds, {}, why};
}
inline shotlog::FrameOutcome not_fired(const shotlog::FrameName& frame, order::Outcome result,
                                       const std::string& why) {
  return {frame, result, at(5s), {}, two_seconds, {}, why};
}

/// The header and these, a line a second.
inline shotlog::Replayed log_of(std::initializer_list<shotlog::Entry> entries) {
  shotlog::Replayed log;
  log.lines.push_back({1, at(-60s), {}, header()});
  for (const auto& entry : entries) {
    const auto seq = static_cast<std::int64_t>(log.lines.size()) + 1;
    log.lines.push_back({seq, at(-60s + std::chrono::seconds{seq}), {}, entry});
  }
  return log;
}

}  // namespace noonfall::report
