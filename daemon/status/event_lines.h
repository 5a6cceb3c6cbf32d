// What happens in a run, a line at a time, for a screen or a system journal.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <tuple>

#include "lib/shotlog/line.h"

namespace noonfall::status {

/// Something that happened: "long: corona", "3.4", "skipped: too late".
struct Event {
  Utc at = {};
  std::string who = {};
  std::string which = {};  // of several that may come; empty where there is but one
  std::string what = {};
  bool new_kind = true;  // else it is told only by how often it came
};

/// Without an end: "09:46:40 UTC long: corona 3.4 skipped: too late".
[[nodiscard]] std::string to_text(const Event& event);
/// The last of `times` that were alike: "09:46:40 UTC long: corona, 12 skipped: too late".
[[nodiscard]] std::string to_text(const Event& event, int times);
/// Whether only their numbers and instants differ.
[[nodiscard]] bool alike(const Event& a, const Event& b);

class EventLines {
 public:
  /// For people, or nothing: frames taken as asked are no event. Of what goes wrong with the frames of one
  /// step the first of a kind is new; the view's counts and the log have the rest.
  [[nodiscard]] std::optional<Event> take(const shotlog::Line& line);

 private:
  [[nodiscard]] Event event_of(const shotlog::Header& header);
  [[nodiscard]] Event event_of(const shotlog::Amendment& amendment);
  [[nodiscard]] Event event_of(const shotlog::Intent& intent);
  [[nodiscard]] Event event_of(const shotlog::FrameOutcome& outcome);
  [[nodiscard]] Event event_of(const shotlog::Skip& skip);
  [[nodiscard]] bool first(const shotlog::FrameName& frame, const std::string& what);

  std::set<std::tuple<std::string, std::string, std::string>> told_;  // rig, step, what
  bool totality_ = true;                                              // at the site
};

/// Whether a person must know: a whole step was left out from the start, for want of totality.
[[nodiscard]] bool alarms(const shotlog::Skip& skip, bool totality);

/// An alarm that is no line of the log.
[[nodiscard]] Event alarm_event(Utc at, const std::string& words);

}  // namespace noonfall::status
