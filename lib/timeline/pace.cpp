#include "lib/timeline/pace.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/plan/resolve.h"
#include "lib/timeline/left_out.h"
#include "lib/timeline/relative_text.h"

namespace noonfall::timeline {
namespace {

using namespace std::chrono_literals;

// Sets end that much before their span does: one due to end on the dot is cut short by the least lag beyond
// the profile's.
constexpr Duration end_slack = std::chrono::milliseconds{250};
constexpr std::size_t most_sets = 100'000;

struct Span {
  Utc from;
  Utc until;
};

class Pacer {
 public:
  Pacer(const Given& given, const plan::Shooting& shooting, const PaceNeeds& needs)
      : given_{given}, shooting_{shooting}, needs_{needs} {}

  Result<std::vector<Paced>> operator()(const plan::At& at) const;
  Result<std::vector<Paced>> operator()(const plan::Every& every) const;
  Result<std::vector<Paced>> operator()(const plan::Spread& spread) const;
  Result<std::vector<Paced>> operator()(const plan::BackToBack& pace) const;

 private:
  [[nodiscard]] Failure refuse(std::string code, std::string message, std::string hint = {}) const {
    return fail(error_at(shooting_.pace_mark, std::move(code),
                         fmt::format("\"{}\": {}", needs_.name, message), std::move(hint)));
  }
  [[nodiscard]] Result<Utc> instant(const plan::Instant& written) const;
  [[nodiscard]] Result<Span> span(const plan::Instant& from, const plan::Instant& until) const;
  [[nodiscard]] Result<void> room_between_sets(Duration apart) const;
  [[nodiscard]] std::vector<Target> targets_of(const plan::Every& every, Span reach) const;
  [[nodiscard]] Duration longest_set() const;
  [[nodiscard]] Paced single(Utc due, std::size_t set) const;

  const Given& given_;
  const plan::Shooting& shooting_;
  const PaceNeeds& needs_;
};

Result<Utc> Pacer::instant(const plan::Instant& written) const {
  const auto at = plan::resolve(written, given_.sky);  // there is one: why_left_out was asked
  if (auto far = far_from_eclipse(*at, written.mark, needs_.name, given_.sky)) return fail(std::move(*far));
  return *at;
}

Result<Span> Pacer::span(const plan::Instant& from, const plan::Instant& until) const {
  const auto begins = instant(from);
  const auto ends = instant(until);
  if (!begins) return fail(begins.error());
  if (!ends) return fail(ends.error());
  if (*begins < *ends) return Span{*begins, *ends};
  return fail(error_at(until.mark, "empty-span",
                       fmt::format("\"{}\": begins at {} but ends at {}", needs_.name,
                                   relative_text(*begins, given_.sky), relative_text(*ends, given_.sky)),
                       "`from` before `until`"));
}

Duration Pacer::longest_set() const {
  return std::max_element(needs_.shapes.begin(), needs_.shapes.end(),
                          [](const auto& a, const auto& b) { return a.lasts < b.lasts; })
      ->lasts;
}

Result<void> Pacer::room_between_sets(Duration apart) const {
  const auto slowest =
      std::max_element(needs_.shapes.begin(), needs_.shapes.end(), [](const auto& a, const auto& b) {
        return a.cycle < b.cycle;
      })->cycle;
  if (slowest <= apart) return {};
  return refuse(
      "sets-too-close",
      fmt::format("a set takes {} but the next comes after {}", rounded_text(slowest), rounded_text(apart)),
      fmt::format("at least {} from set to set, `every: back to back`, or fewer frames",
                  rounded_text(slowest + 50ms)));
}

Paced Pacer::single(Utc due, std::size_t set) const {
  const auto index = set % needs_.shapes.size();
  return {due, due + needs_.shapes[index].lasts + needs_.patience, false, {{due, index}}};
}

Result<std::vector<Paced>> Pacer::operator()(const plan::At& at) const {
  std::vector<Utc> dues;
  for (const auto& written : at.instants) {
    const auto due = instant(written);
    if (!due) return fail(due.error());
    dues.push_back(*due);
  }
  std::sort(dues.begin(), dues.end());
  std::vector<Paced> paced;
  for (std::size_t i = 0; i < dues.size(); ++i) {
    if (i > 0)
      if (const auto room = room_between_sets(dues[i] - dues[i - 1]); !room) return fail(room.error());
    paced.push_back(single(dues[i], i));
  }
  return paced;
}

/// All that fit; in a mirrored step those that fit when counted from the end.
std::vector<Target> Pacer::targets_of(const plan::Every& every, Span reach) const {
  std::vector<Target> targets;
  const auto shapes = needs_.shapes.size();
  for (std::size_t k = 0;; ++k) {
    const auto away = every.period * static_cast<std::int64_t>(k);
    const auto index = every.counted_from_end ? shapes - 1 - k % shapes : k % shapes;
    const auto lasts = needs_.shapes[index].lasts + end_slack;
    const auto due = every.counted_from_end ? reach.until - lasts - away : reach.from + away;
    if (due < reach.from || due + lasts > reach.until) break;
    targets.push_back({due, index});
  }
  if (every.counted_from_end) std::reverse(targets.begin(), targets.end());
  return targets;
}

Result<std::vector<Paced>> Pacer::operator()(const plan::Every& every) const {
  const auto reach = span(every.from, every.until);
  if (!reach) return fail(reach.error());
  const auto [from, until] = *reach;
  if (const auto room = room_between_sets(every.period); !room) return fail(room.error());
  if (static_cast<std::size_t>((until - from) / every.period) > most_sets)
    return refuse("too-many-sets", fmt::format("more than {} sets", most_sets), "a longer period");
  auto targets = targets_of(every, *reach);
  if (!targets.empty()) return std::vector{Paced{from, until, false, std::move(targets)}};
  return refuse(
      "set-does-not-fit",
      fmt::format("a set takes {} and wants {} to spare, but from {} to {} there are {}",
                  rounded_text(longest_set()), rounded_text(end_slack), relative_text(from, given_.sky),
                  relative_text(until, given_.sky), rounded_text(until - from)),
      "a longer span or fewer frames");
}

Result<std::vector<Paced>> Pacer::operator()(const plan::Spread& spread) const {
  const auto reach = span(spread.from, spread.until);
  if (!reach) return fail(reach.error());
  const auto [from, until] = *reach;
  if (spread.count < 1 || static_cast<std::size_t>(spread.count) > most_sets) {
    return refuse("too-many-sets", fmt::format("{} sets", spread.count),
                  fmt::format("1 to {} sets", most_sets));
  }
  if (spread.count == 1) return std::vector{single(from + (until - from) / 2, 0)};
  if (const auto room = room_between_sets((until - from) / (spread.count - 1)); !room)
    return fail(room.error());
  std::vector<Target> targets;
  targets.reserve(static_cast<std::size_t>(spread.count));
  for (int k = 0; k < spread.count; ++k) {
    targets.push_back(
        {from + (until - from) * k / (spread.count - 1), static_cast<std::size_t>(k) % needs_.shapes.size()});
  }
  const auto last = targets.back();
  return std::vector{
      Paced{from, last.due + needs_.shapes[last.shape].lasts + needs_.patience, false, std::move(targets)}};
}

Result<std::vector<Paced>> Pacer::operator()(const plan::BackToBack& pace) const {
  const auto reach = span(pace.from, pace.until);
  if (!reach) return fail(reach.error());
  if (longest_set() <= reach->until - reach->from)
    return std::vector{Paced{reach->from, reach->until, true, {}}};
  return refuse("set-does-not-fit",
                fmt::format("a set takes {}, but from {} to {} there are {}", rounded_text(longest_set()),
                            relative_text(reach->from, given_.sky), relative_text(reach->until, given_.sky),
                            rounded_text(reach->until - reach->from)),
                "a longer span or fewer frames");
}

}  // namespace

Result<std::vector<Paced>> pace_step(const Given& given, const plan::Shooting& shooting,
                                     const PaceNeeds& needs) {
  return std::visit(Pacer{given, shooting, needs}, shooting.pace);
}

}  // namespace noonfall::timeline
