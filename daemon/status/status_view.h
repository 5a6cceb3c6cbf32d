// The run on stdout: on a terminal a screen drawn in place, with what happened before scrolled above it;
// elsewhere a line for each thing that happens.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/posix/patient_output.h"
#include "daemon/status/event_lines.h"
#include "daemon/status/facts.h"
#include "daemon/status/keys.h"
#include "daemon/status/recent_events.h"
#include "daemon/status/terminal_frame.h"

namespace noonfall::status {

class StatusView {
 public:
  /// `fd` stays open; colours only on a terminal and without NO_COLOR.
  explicit StatusView(int fd);
  /// Leaves the cursor below the last frame, what happened last above it, and no key typed meanwhile to the
  /// shell.
  ~StatusView();
  StatusView(const StatusView&) = delete;
  StatusView& operator=(const StatusView&) = delete;

  void say(Event event);
  /// Of the diagnostic log; one line, without its end.
  void say(std::string line);
  /// The terminal's bell, for words that nobody speaks.
  void ring();
  /// Call once a second, and soon after something changed.
  void draw(const StatusFacts& facts);

  /// See Keys::take().
  [[nodiscard]] std::optional<std::string> take_keys(std::string_view bytes);
  void answered(bool carried_out, const std::string& words);

  [[nodiscard]] bool is_terminal() const { return is_terminal_; }

 private:
  void show();
  void draw_frame();
  void print_events();
  [[nodiscard]] TerminalSize size() const;
  [[nodiscard]] Paint paint() const;

  int fd_;
  bool is_terminal_;
  bool colours_;
  posix::PatientOutput output_;
  std::optional<StatusFacts> facts_;
  Keys keys_;
  RecentEvents recent_;               // on a terminal
  std::vector<std::string> leaving_;  // the screen; elsewhere, not printed yet
  std::size_t left_out_ = 0;          // lines nobody could be shown
  std::size_t rows_drawn_ = 0;
  TerminalSize drawn_at_;
};

}  // namespace noonfall::status
