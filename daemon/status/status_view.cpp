#include "daemon/status/status_view.h"

#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <cstdlib>
#include <utility>

#include <fmt/format.h>

#include "daemon/status/status_lines.h"

namespace noonfall::status {
namespace {

constexpr std::size_t most_events_waiting = 200;

/// no-color.org: set and not empty.
bool no_color() {
  const char* value = std::getenv("NO_COLOR");  // NOLINT(concurrency-mt-unsafe): nothing here sets variables
  return value != nullptr && *value != '\0';
}

}  // namespace

StatusView::StatusView(int fd)
    : fd_{fd},
      is_terminal_{::isatty(fd) == 1},
      paint_{is_terminal_ && !no_color() ? Paint::colour : Paint::plain},
      output_{fd} {}

StatusView::~StatusView() {
  if (!events_.empty()) show();
  // In the background it isn't our terminal, and the system would stop whoever touches it.
  if (is_terminal_ && ::tcgetpgrp(fd_) == ::getpgrp()) ::tcflush(fd_, TCIFLUSH);
}

TerminalSize StatusView::size() const {
  winsize window{};
  if (::ioctl(fd_, TIOCGWINSZ, &window) != 0 || window.ws_col == 0 || window.ws_row == 0) return {};
  return {window.ws_col, window.ws_row};
}

void StatusView::say(std::string line) {
  if (events_.size() >= most_events_waiting) {
    events_.erase(events_.begin());
    ++left_out_;
  }
  events_.push_back(std::move(line));
  show();
}

void StatusView::ring() {
  if (is_terminal_ && output_.flush()) output_.write("\a");
}

void StatusView::draw(const StatusFacts& facts) {
  lines_ = status::lines(facts);
  show();
}

void StatusView::show() {
  is_terminal_ ? draw_frame() : print_events();
}

void StatusView::draw_frame() {
  if (!output_.flush()) return;  // the terminal is stopped: the next frame that gets through is newer anyway
  const auto now_at = size();
  if (now_at != drawn_at_ && rows_drawn_ > 0) {
    // Lines drawn wider than the window is now have wrapped, and nobody knows into how many rows.
    output_.write("\x1b[H\x1b[2J");
    rows_drawn_ = 0;
  }
  auto events = std::exchange(events_, {});
  if (left_out_ > 0) events.insert(events.begin(), fmt::format("({} events aren't shown)", left_out_));
  left_out_ = 0;
  const auto lines = fitted_lines(lines_, now_at);
  output_.write(terminal_frame(rows_drawn_, events, lines, paint_));
  rows_drawn_ = lines.size();
  drawn_at_ = now_at;
}

void StatusView::print_events() {
  if (!output_.flush()) return;
  if (left_out_ > 0) output_.write(fmt::format("({} events aren't shown)\n", std::exchange(left_out_, 0)));
  for (const auto& line : std::exchange(events_, {})) output_.write(line + "\n");
}

}  // namespace noonfall::status
