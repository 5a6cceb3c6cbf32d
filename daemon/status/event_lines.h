// What happens in a run, a line at a time, for a screen that scrolls or a system journal.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <tuple>

#include "lib/shotlog/line.h"

namespace noonfall::status {

class EventLines {
 public:
  /// The line for people, without an end, or nothing: frames taken as asked are no event. Of what goes wrong
  /// with the frames of one step the first of a kind is told; the view's counts and the log have the rest.
  [[nodiscard]] std::optional<std::string> take(const shotlog::Line& line);

 private:
  [[nodiscard]] std::string text_of(const shotlog::Header& header);
  [[nodiscard]] std::string text_of(const shotlog::Amendment& amendment);
  [[nodiscard]] std::string text_of(const shotlog::Intent& intent);
  [[nodiscard]] std::string text_of(const shotlog::Outcome& outcome);
  [[nodiscard]] std::string text_of(const shotlog::Skip& skip);
  [[nodiscard]] bool first(const shotlog::FrameName& frame, const std::string& what);

  std::set<std::tuple<std::string, std::string, std::string>> told_;  // rig, step, what
  bool totality_ = true;                                              // at the site
};

/// Whether a person must know: a whole step was left out from the start, for want of totality.
[[nodiscard]] bool alarms(const shotlog::Skip& skip, bool totality);

/// The same for an alarm that is no line of the log.
[[nodiscard]] std::string alarm_line(Utc at, const std::string& words);

}  // namespace noonfall::status
