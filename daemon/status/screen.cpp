#include "daemon/status/screen.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "daemon/status/columns.h"
#include "daemon/status/large_digits.h"
#include "daemon/status/words.h"
#include "lib/base/plain_text.h"

namespace noonfall::status {
namespace {

using shotlog::FilterState;

constexpr std::size_t most_rows = 23;
constexpr std::size_t widest = 80;
constexpr std::size_t least_events = 1;
constexpr std::size_t most_full_lanes = 4;
constexpr std::size_t most_lanes = 8;
constexpr std::size_t most_alarms = 3;
constexpr std::size_t name_width = 12;
constexpr std::size_t body_width = 8;
constexpr std::size_t filter_width = 21;

std::string now_words(const StatusFacts& facts) {
  auto words = clock_text(facts.now) + " UTC";
  const auto local = facts.local_clock.substr(0, facts.local_clock.find('.'));
  if (!local.empty()) words += fmt::format("   {} {}", local, facts.zone);
  return words;
}

std::string totality_words(const StatusFacts& facts) {
  if (facts.in_totality)
    return fmt::format("TOTALITY {} of {}",
                       clock_span(std::chrono::floor<std::chrono::seconds>(facts.in_totality->elapsed)),
                       clock_span(facts.in_totality->total));
  return facts.totality > Duration{} ? "totality lasts " + clock_span(facts.totality) : "";
}

/// A list of rows, each made fit to be shown.
class Rows {
 public:
  explicit Rows(std::size_t width) : width_{width} {}
  void add(std::string_view text, Tone tone = Tone::ordinary) {
    auto shown = fitted(plain_line(text), width_);
    shown.erase(shown.find_last_not_of(' ') + 1);
    rows_.push_back({std::move(shown), tone});
  }
  /// Both at the ends of one row; what has no room beside `left` is cut.
  void add_with(std::string_view left, std::string_view right, Tone tone = Tone::ordinary) {
    const auto used = columns(left) + 2;
    add(used + 8 > width_ ? std::string{left} : spread(left, fitted(right, width_ - used), width_), tone);
  }
  /// Likewise, or in two rows.
  void add_both(const std::string& left, const std::string& right, Tone tone) {
    if (columns(left) + 2 + columns(right) <= width_) return add_with(left, right, tone);
    add(left, tone);
    add(right, tone);
  }
  [[nodiscard]] std::size_t width() const { return width_; }
  [[nodiscard]] std::size_t size() const { return rows_.size(); }
  [[nodiscard]] std::vector<Row> take() { return std::move(rows_); }

 private:
  std::size_t width_;
  std::vector<Row> rows_;
};

void add_head(const StatusFacts& facts, Rows& out) {
  out.add_with(now_words(facts), facts.title);
  const bool doubtful = facts.clock.grade == shotlog::ClockGrade::f;
  const auto mode = mode_words(facts.mode, facts.speed);
  auto clock = clock_words(facts.clock);
  const auto source = " (" + facts.clock_source + ")";
  const bool room = columns(mode) + 2 + columns(clock + source) <= out.width();
  if (room && !facts.clock_source.empty()) clock += source;
  const auto by_mode = facts.mode == shotlog::Mode::event ? Tone::ordinary : Tone::strong;
  out.add_both(mode, clock, doubtful ? Tone::urgent : by_mode);
  if (const auto remedy = clock_remedy(facts.clock.grade); !remedy.empty())
    out.add(remedy, doubtful ? Tone::urgent : Tone::ordinary);
}

void add_contact(const StatusFacts& facts, bool large, Rows& out) {
  const auto tone = Tone::strong;
  const auto totality = totality_words(facts);
  if (!facts.next_contact) {
    out.add_with("no contact is left", totality, tone);
    return;
  }
  const auto& next = *facts.next_contact;
  const auto name = contacts::to_text(next.name);
  const auto at = fmt::format("at {} UTC", clock_text(next.utc));
  if (!large) {
    out.add_with(fmt::format("{} {}, {}", name, countdown(next.utc - facts.now), at), totality, tone);
    return;
  }
  const auto digits = large_digits(clock_span(next.utc - facts.now));
  const std::string beside[digit_rows] = {"", fmt::format("to {}", name), at, "", totality};
  for (std::size_t n = 0; n < digit_rows; ++n) out.add(digits[n] + "   " + beside[n], tone);
}

void add_words(const StatusFacts& facts, Rows& out) {
  out.add(facts.next ? fmt::format("NEXT {}: {}", countdown(facts.next->at - facts.now), facts.next->words)
                     : "NEXT nothing is left to say or do",
          Tone::strong);
  out.add(facts.last ? fmt::format("LAST {} {}", clock_text(facts.last->at), facts.last->words)
                     : "LAST nothing was said yet");
}

void add_alarms(const StatusFacts& facts, Rows& out) {
  const auto all = facts.alarms.size();
  const auto shown = all <= most_alarms ? all : most_alarms - 1;
  for (std::size_t n = 0; n < shown; ++n)
    out.add(fmt::format("ALARM {} {}", clock_text(facts.alarms[n].at), facts.alarms[n].words), Tone::urgent);
  if (shown < all) out.add(fmt::format("and {} more alarms", all - shown), Tone::urgent);
  if (all == 0) out.add("no alarm");
}

/// What there is of it, the less important last.
std::string figures(const RigStatus& rig) {
  std::vector<std::string> parts;
  if (rig.exposure) parts.push_back(exposure::to_text(*rig.exposure));
  if (const auto trim = trim_words(rig.trim); !trim.empty()) parts.push_back("trim " + trim);
  if (rig.proposed_trim) parts.push_back("t: " + trim_words(*rig.proposed_trim) + " proposed");
  parts.push_back(count_words(rig));
  if (rig.late) parts.push_back(late_words(*rig.late));
  if (rig.levels.battery_percent) parts.push_back(fmt::format("bat {} %", *rig.levels.battery_percent));
  if (rig.levels.card_frames) parts.push_back(fmt::format("card {}", *rig.levels.card_frames));
  std::string words;
  for (const auto& part : parts) words += (words.empty() ? "" : "  ") + part;
  return words;
}

Tone tone_of(const RigStatus& rig) {
  if (rig.body == BodyState::away || (rig.filter && *rig.filter != FilterState::on)) return Tone::urgent;
  return rig.hands.empty() && rig.body != BodyState::held ? Tone::ordinary : Tone::strong;
}

void add_lane(const StatusFacts& facts, std::size_t n, bool full, std::size_t chosen, Rows& out) {
  const auto& rig = facts.rigs[n];
  const bool away = rig.body == BodyState::away;
  const auto end = full ? doing_words(rig, facts.now) : away ? rig.why : figures(rig);
  out.add(fmt::format("{}{} {} {} {} {}", n == chosen ? '>' : ' ', n + 1, padded(rig.rig, name_width),
                      padded(body_word(rig.body), body_width), padded(filter_words(rig), filter_width), end),
          tone_of(rig));
  if (full) out.add("   " + (away ? rig.why : figures(rig)), away ? Tone::urgent : Tone::ordinary);
}

void add_lanes(const StatusFacts& facts, std::size_t chosen, Rows& out) {
  const auto all = facts.rigs.size();
  const auto shown = all <= most_lanes ? all : most_lanes - 1;
  for (std::size_t n = 0; n < shown; ++n) add_lane(facts, n, all <= most_full_lanes, chosen, out);
  if (shown < all) out.add(fmt::format("and {} more rigs", all - shown));
}

/// All but events and keys.
std::vector<Row> upper(const StatusFacts& facts, std::size_t chosen, TerminalSize size, bool large) {
  Rows out{std::min(std::max<std::size_t>(size.columns, 2) - 1, widest)};
  add_head(facts, out);
  add_contact(facts, large, out);
  add_words(facts, out);
  add_alarms(facts, out);
  add_lanes(facts, chosen, out);
  return out.take();
}

/// Rows for all but the keys.
std::size_t room(TerminalSize size) {
  return std::min(std::max<std::size_t>(size.rows, 3) - 1, most_rows) - 1;
}

std::vector<Row> fitting_upper(const StatusFacts& facts, std::size_t chosen, TerminalSize size) {
  auto rows = upper(facts, chosen, size, true);
  if (rows.size() + least_events > room(size)) rows = upper(facts, chosen, size, false);
  if (rows.size() > room(size)) rows.resize(room(size));
  return rows;
}

}  // namespace

std::size_t event_rows(const StatusFacts& facts, TerminalSize size) {
  return room(size) - fitting_upper(facts, 0, size).size();
}

std::vector<Row> screen(const StatusFacts& facts, const std::vector<std::string>& events,
                        const KeyWords& keys, TerminalSize size) {
  auto rows = fitting_upper(facts, keys.rig, size);
  const auto free = room(size) - rows.size();
  const auto& below = keys.help.empty() ? events : keys.help;
  Rows rest{std::min(std::max<std::size_t>(size.columns, 2) - 1, widest)};
  const auto left_out = keys.help.empty() && below.size() > free ? below.size() - free : 0;
  for (auto n = left_out; n < std::min(below.size(), left_out + free); ++n)
    rest.add(below[n], below[n].find("ALARM ") == std::string::npos ? Tone::ordinary : Tone::urgent);
  while (rest.size() < free) rest.add("");
  if (!keys.line.empty()) rest.add(keys.line, keys.asks ? Tone::strong : Tone::ordinary);
  std::ranges::move(rest.take(), std::back_inserter(rows));
  return rows;
}

}  // namespace noonfall::status
