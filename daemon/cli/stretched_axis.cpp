#include "daemon/cli/stretched_axis.h"

#include <algorithm>
#include <array>

#include "lib/time/utc_text.h"

namespace noonfall::cli {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;

constexpr double stretched_share = 0.62;
constexpr Duration around_totality = 1min;
constexpr double least_apart = 58;  // of two ticks' labels

std::pair<Utc, Utc> extent(const timeline::Timeline& timeline) {
  auto first = Utc::max();
  auto last = Utc::min();
  const auto take = [&](Utc from, Utc until) {
    first = std::min(first, from);
    last = std::max(last, until);
  };
  for (const auto& contact : timeline.circumstances.contacts)
    if (contact) take(contact->utc, contact->utc);
  for (const auto& span : timeline.hands_on) take(span.from, span.until);
  for (const auto& cue : timeline.cues) take(cue.ends, cue.ends);
  for (const auto& rig : timeline.rigs)
    for (const auto& step : rig.steps) take(step.first_opening(), step.last_closing());
  if (first >= last)
    return {first == Utc::max() ? Utc{} : first, (first == Utc::max() ? Utc{} : first) + 1min};
  return {first, last};
}

/// The least of the round spans whose ticks are far enough apart.
Duration tick_span(const StretchedAxis::Piece& piece) {
  constexpr std::array<Duration, 13> spans{1s,   2s,   5s,    10s,   15s,   30s, 1min,
                                           2min, 5min, 10min, 15min, 30min, 1h};
  const double wide = piece.right - piece.left;
  const double seconds = in_seconds(piece.until - piece.from);
  for (const auto span : spans)
    if (in_seconds(span) / seconds * wide >= least_apart) return span;
  return 2h;
}

}  // namespace

StretchedAxis::StretchedAxis(const timeline::Timeline& timeline, double left, double right) {
  const auto [first, last] = extent(timeline);
  const auto& sky = timeline.circumstances;
  const auto& c2 = sky.at(ContactName::c2);
  const auto& c3 = sky.at(ContactName::c3);
  knots_.emplace_back(first, left);
  if (c2 && c3) {
    const auto from = std::max(first, c2->utc - around_totality);
    const auto until = std::min(last, c3->utc + around_totality);
    const double rest = (right - left) * (1 - stretched_share);
    const double share =
        in_seconds(from - first) / std::max(in_seconds((from - first) + (last - until)), 1.0);
    // Neither side gets less than a quarter of what is left, if it has anything to show.
    const double before = from <= first ? 0 : until >= last ? rest : rest * std::clamp(share, 0.25, 0.75);
    const double after = until >= last ? 0 : rest - before;
    if (from > first) knots_.emplace_back(from, left + before);
    if (until < last) knots_.emplace_back(until, right - after);
  }
  knots_.emplace_back(last, right);
}

double StretchedAxis::x(Utc at) const {
  if (at <= knots_.front().first) return left();
  for (const auto& [from, until, left, right] : pieces()) {
    if (at <= until) return left + in_seconds(at - from) / in_seconds(until - from) * (right - left);
  }
  return right();
}

Utc StretchedAxis::instant(double x) const {
  for (const auto& [from, until, left, right] : pieces()) {
    if (x <= right)
      return from + from_seconds(in_seconds(until - from) * std::max(0.0, x - left) / (right - left));
  }
  return knots_.back().first;
}

std::vector<StretchedAxis::Piece> StretchedAxis::pieces() const {
  std::vector<Piece> pieces;
  for (std::size_t n = 0; n + 1 < knots_.size(); ++n)
    pieces.push_back({knots_[n].first, knots_[n + 1].first, knots_[n].second, knots_[n + 1].second});
  return pieces;
}

std::vector<StretchedAxis::Tick> StretchedAxis::ticks(const LocalClock& local) const {
  std::vector<Tick> ticks;
  double free_from = left() - least_apart;
  for (const auto& piece : pieces()) {
    const auto span = tick_span(piece);
    const auto begun = piece.from.time_since_epoch() / span;
    for (auto at = Utc{begun * span}; at <= piece.until; at += span) {
      if (at < piece.from || x(at) - free_from < least_apart * 0.8) continue;
      const bool whole = at.time_since_epoch() % 1min == Duration::zero();
      const auto clock = clock_text(at, local);
      ticks.push_back({at, whole ? clock.substr(0, 5) : clock.substr(5), whole});
      free_from = x(at);
    }
  }
  return ticks;
}

std::string clock_text(Utc at, const LocalClock& local) {
  const auto rounded = Utc{std::chrono::round<std::chrono::seconds>(at)};
  return (local ? local(rounded) : to_clock_text(rounded)).substr(0, 8);
}

}  // namespace noonfall::cli
