// The run on stdout: on a terminal drawn in place once a second with events scrolling above, elsewhere events
// only.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "daemon/posix/patient_output.h"
#include "daemon/status/status_lines.h"
#include "daemon/status/terminal_frame.h"

namespace noonfall::status {

class StatusView {
 public:
  /// `fd` stays open; colours only on a terminal and without NO_COLOR.
  explicit StatusView(int fd);
  /// Leaves the cursor below the last frame, and no key typed meanwhile to the shell.
  ~StatusView();
  StatusView(const StatusView&) = delete;
  StatusView& operator=(const StatusView&) = delete;

  /// Something happened; one line, without its end.
  void say(std::string line);
  /// The terminal's bell, for words that nobody speaks.
  void ring();
  /// Call once a second.
  void draw(const StatusFacts& facts);

  [[nodiscard]] bool is_terminal() const { return is_terminal_; }

 private:
  void show();
  void draw_frame();
  void print_events();
  [[nodiscard]] TerminalSize size() const;

  int fd_;
  bool is_terminal_;
  Paint paint_;
  posix::PatientOutput output_;
  std::vector<std::string> events_;  // not shown yet
  std::size_t left_out_ = 0;         // events nobody could be shown
  std::vector<std::string> lines_;
  std::size_t rows_drawn_ = 0;
  TerminalSize drawn_at_;
};

}  // namespace noonfall::status
