// What a shot log says of the run so far, for a core that goes on with it.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <vector>

#include "lib/shotlog/line.h"

namespace noonfall::run {

/// An order of which not every frame has had its last word.
struct PastOrder {
  std::int64_t id = 0;
  std::vector<shotlog::Intent> frames;  // all of them, in order
  std::set<std::int32_t> open;          // the numbers of those without a last word
  std::optional<Utc> first_opened;
};

struct PastStep {
  std::map<std::int32_t, Utc> sets;  // intended or passed over; when the first frame was due
  bool passed_over = false;          // as a whole
};

/// A frame last heard of as unknown: a late report may still resolve it.
struct Unresolved {
  std::int64_t order = 0;
  shotlog::FrameName name;
  Utc due;
};

/// A rig's camera filter by the log.
struct PastFilter {
  std::optional<shotlog::FilterState> state;  // none: no line tells
  bool confirmed = false;
  bool untold = false;      // nothing was said in full or confirmed so far
  bool coming_off = false;  // words to take it off were begun, and nothing tells that they were over
};

struct PastRig {
  std::map<std::string, PastStep> steps;
  std::vector<PastOrder> open_orders;  // by rising id
  std::vector<Unresolved> unresolved;
  std::vector<Utc> opened;  // shutters, in the order of the log
  PastFilter filter;
};

struct History {
  shotlog::Header header;    // of the plan in force: the first, or the last amendment's
  bool header_lost = false;  // the line was damaged: which plan was in force isn't known
  std::int64_t last_seq = 0;
  std::int64_t last_order = 0;
  Utc last_utc;
  shotlog::ClockState clock;            // of the last line
  std::map<std::string, PastRig> rigs;  // by rig
  std::vector<shotlog::CueSpoken> cues;
  std::vector<shotlog::Command> commands;  // those carried out
  std::optional<shotlog::ClockStamp> stamp;
  bool done = false;  // the plan came to its end
};

/// Empty for a log without lines.
[[nodiscard]] std::optional<History> history_of(std::span<const shotlog::Line> lines);

}  // namespace noonfall::run
