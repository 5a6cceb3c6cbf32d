#include "daemon/status/status_view.h"

#include <poll.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <iterator>
#include <utility>

#include <fmt/format.h>

namespace noonfall::status {
namespace {

constexpr std::size_t most_waiting = 200;
constexpr int most_tries = 50;
constexpr int try_ms = 10;

/// no-color.org: set and not empty.
bool no_color() {
  const char* value = std::getenv("NO_COLOR");  // NOLINT(concurrency-mt-unsafe): nothing here sets variables
  return value != nullptr && *value != '\0';
}

}  // namespace

StatusView::StatusView(int fd)
    : fd_{fd}, is_terminal_{::isatty(fd) == 1}, colours_{is_terminal_ && !no_color()}, output_{fd} {}

StatusView::~StatusView() {
  if (is_terminal_) std::ranges::move(recent_.take_beyond(0), std::back_inserter(leaving_));
  if (!leaving_.empty()) show();
  // The last frame whole, from a terminal that takes it at all.
  for (int tries = 0; tries < most_tries && !output_.flush(); ++tries) ::poll(nullptr, 0, try_ms);
  // In the background it isn't our terminal, and the system would stop whoever touches it.
  if (is_terminal_ && ::tcgetpgrp(fd_) == ::getpgrp()) ::tcflush(fd_, TCIFLUSH);
}

TerminalSize StatusView::size() const {
  winsize window{};
  if (::ioctl(fd_, TIOCGWINSZ, &window) != 0 || window.ws_col == 0 || window.ws_row == 0) return {};
  return {window.ws_col, window.ws_row};
}

Paint StatusView::paint() const {
  if (!colours_) return Paint::plain;
  return facts_ && keys_.night(*facts_) ? Paint::night : Paint::colour;
}

void StatusView::say(Event event) {
  if (!is_terminal_) {
    if (event.new_kind) say(to_text(event));
    return;
  }
  recent_.take(std::move(event));
  show();
}

void StatusView::say(std::string line) {
  if (leaving_.size() >= most_waiting) {
    leaving_.erase(leaving_.begin());
    ++left_out_;
  }
  leaving_.push_back(std::move(line));
  show();
}

void StatusView::ring() {
  if (is_terminal_ && output_.flush()) output_.write("\a");
}

void StatusView::draw(const StatusFacts& facts) {
  facts_ = facts;
  show();
}

std::optional<std::string> StatusView::take_keys(std::string_view bytes) {
  auto command = facts_ ? keys_.take(bytes, *facts_) : std::nullopt;
  show();
  return command;
}

void StatusView::answered(bool carried_out, const std::string& words) {
  keys_.answered(carried_out, words);
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
  std::vector<Row> rows;
  auto leaving = std::exchange(leaving_, {});
  if (facts_) {
    std::ranges::move(recent_.take_beyond(event_rows(*facts_, now_at)), std::back_inserter(leaving));
    rows = screen(*facts_, recent_.lines(), keys_.words(), now_at);
  }
  if (left_out_ > 0) leaving.insert(leaving.begin(), fmt::format("({} events aren't shown)", left_out_));
  left_out_ = 0;
  output_.write(terminal_frame(rows_drawn_, leaving, rows, paint()));
  rows_drawn_ = rows.size();
  drawn_at_ = now_at;
}

void StatusView::print_events() {
  if (!output_.flush()) return;
  if (left_out_ > 0) output_.write(fmt::format("({} events aren't shown)\n", std::exchange(left_out_, 0)));
  for (const auto& line : std::exchange(leaving_, {})) output_.write(line + "\n");
}

}  // namespace noonfall::status
