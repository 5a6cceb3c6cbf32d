// What was shot, against what was planned: a shot log boiled down for a person.
#pragma once

#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "lib/report/detail.h"
#include "lib/shotlog/account.h"
#include "lib/shotlog/replay.h"
#include "lib/time/utc.h"

namespace noonfall::report {

struct StepSummary {
  std::string rig;
  shotlog::PlannedStep planned;
  shotlog::Tally frames;
  int whole_sets = 0;   // sets with every frame fired
  int never_asked = 0;  // planned back to back, and no order came for them
  int still_due = 0;    // asked for, due after the end of a log still going
  bool left_out = false;
  bool by_hand = false;    // a person shoots, the log can't know
  Duration median_late{};  // of the fired frames, opened against due; sets with instants of their own only
  Duration most_late{};
  std::map<std::string, int> reasons;  // why frames weren't taken, or came out otherwise than asked

  [[nodiscard]] int missed() const { return frames.asked() - frames.fired - still_due + never_asked; }
  bool operator==(const StepSummary&) const = default;
};

/// Unfiltered frames against the filter window under which they were ordered.
struct WindowSummary {
  std::string rig;
  shotlog::PlannedWindow window;
  bool in_force = true;  // at the end of the log; else an amendment took its place
  bool by_hand = false;  // a person shoots: nothing is known of the frames
  int inside = 0;
  int outside = 0;  // must be none
  int unknown = 0;  // asked for without a word of what became of them
  bool operator==(const WindowSummary&) const = default;
};

/// A stretch of totality in which a rig that had frames to take took none.
struct Gap {
  std::string rig;
  Utc from;
  Utc until;
  bool operator==(const Gap&) const = default;
};

struct Summary {
  shotlog::Header
      header;  // of the plan in force at the end; steps of an earlier one that were shot stand after its own
  std::vector<StepSummary> steps;  // in plan order
  std::vector<WindowSummary> windows;
  std::vector<Gap> gaps;                  // over 5 s, at most the three longest a rig
  std::vector<shotlog::Line> happenings;  // faults, commands, amendments, clock changes, words not spoken
  shotlog::Tally total;
  int planned_frames = 0;
  /// Whether an unfiltered frame was taken outside its rig's filter window.
  [[nodiscard]] bool strayed() const;

  Detail detail;

  bool complete = false;  // the log says that the plan was done
  bool torn_tail = false;
  int damaged_lines = 0;
};

/// Empty when the log has no header: nothing can be said then. Each name and reason is as plain_line has it:
/// a log may be anybody's.
[[nodiscard]] std::optional<Summary> summarise(const shotlog::Replayed& log);
/// The logs of one run, in the order they were made.
[[nodiscard]] std::optional<Summary> summarise(std::span<const shotlog::Replayed> logs);

}  // namespace noonfall::report
