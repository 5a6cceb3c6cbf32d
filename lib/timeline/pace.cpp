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
  using Parts = Result<std::vector<RigStep>>;
  Pacer(const Given& given, const plan::Shooting& shooting, const RigStep& step)
      : given_{given}, shooting_{shooting}, step_{step} {}

  Parts operator()(const plan::At& at) const {
    std::vector<Utc> dues;
    for (const auto& written : at.instants) {
      const auto due = instant(written);
      if (!due) return fail(due.error());
      dues.push_back(*due);
    }
    std::ranges::sort(dues);
    std::vector<RigStep> paced;
    for (std::size_t i = 0; i < dues.size(); ++i) {
      if (i > 0)
        if (const auto room = room_between_sets(dues[i] - dues[i - 1]); !room) return fail(room.error());
      paced.push_back(single(dues[i], i));
    }
    return paced;
  }

  Parts operator()(const plan::Every& every) const {
    const auto reach = span(every.from, every.until);
    if (!reach) return fail(reach.error());
    const auto [from, until] = *reach;
    if (const auto room = room_between_sets(every.period); !room) return fail(room.error());
    if (static_cast<std::size_t>((until - from) / every.period) > most_sets)
      return refuse("too-many-sets", fmt::format("more than {} sets", most_sets), "a longer period");
    auto targets = targets_of(every, *reach);
    if (!targets.empty()) return std::vector{part(from, until, std::move(targets))};
    return refuse(
        "set-does-not-fit",
        fmt::format("a set takes {} and wants {} to spare, but from {} to {} there are {}",
                    rounded_text(longest_set()), rounded_text(end_slack), relative_text(from, given_.sky),
                    relative_text(until, given_.sky), rounded_text(until - from)),
        "a longer span or fewer frames");
  }

  Parts operator()(const plan::Spread& spread) const {
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
      targets.push_back({from + (until - from) * k / (spread.count - 1),
                         static_cast<std::size_t>(k) % step_.shapes.size()});
    }
    const auto last = targets.back();
    return std::vector{
        part(from, last.due + step_.shapes[last.shape].lasts + step_.patience, std::move(targets))};
  }

  Parts operator()(const plan::BackToBack& pace) const {
    const auto reach = span(pace.from, pace.until);
    if (!reach) return fail(reach.error());
    if (longest_set() <= reach->until - reach->from) {
      auto whole = part(reach->from, reach->until, {});
      whole.back_to_back = true;
      whole.patience = {};
      return std::vector{std::move(whole)};
    }
    return refuse("set-does-not-fit",
                  fmt::format("a set takes {}, but from {} to {} there are {}", rounded_text(longest_set()),
                              relative_text(reach->from, given_.sky), relative_text(reach->until, given_.sky),
                              rounded_text(reach->until - reach->from)),
                  "a longer span or fewer frames");
  }

 private:
  [[nodiscard]] Failure refuse(std::string code, std::string message, std::string hint = {}) const {
    return fail(error_at(shooting_.pace_mark, std::move(code), fmt::format("\"{}\": {}", step_.name, message),
                         std::move(hint)));
  }
  [[nodiscard]] Result<Utc> instant(const plan::Instant& written) const {
    const auto at = plan::resolve(written, given_.sky);  // there is one: why_left_out was asked
    if (auto far = far_from_eclipse(*at, written.mark, step_.name, given_.sky)) return fail(std::move(*far));
    return *at;
  }

  [[nodiscard]] Result<Span> span(const plan::Instant& from, const plan::Instant& until) const {
    const auto begins = instant(from);
    const auto ends = instant(until);
    if (!begins) return fail(begins.error());
    if (!ends) return fail(ends.error());
    if (*begins < *ends) return Span{*begins, *ends};
    return fail(empty_span(*begins, *ends, until.mark, step_.name, given_.sky));
  }

  [[nodiscard]] Result<void> room_between_sets(Duration apart) const {
    const auto slowest = std::ranges::max_element(step_.shapes, {}, &SetShape::cycle)->cycle;
    if (slowest <= apart) return {};
    return refuse(
        "sets-too-close",
        fmt::format("a set takes {} but the next comes after {}", rounded_text(slowest), rounded_text(apart)),
        fmt::format("at least {} from set to set, `every: back to back`, or fewer frames",
                    rounded_text(slowest + 50ms)));
  }

  /// All that fit; in a mirrored step those that fit when counted from the end.
  [[nodiscard]] std::vector<Target> targets_of(const plan::Every& every, Span reach) const {
    std::vector<Target> targets;
    const auto shapes = step_.shapes.size();
    for (std::size_t k = 0;; ++k) {
      const auto away = every.period * static_cast<std::int64_t>(k);
      const auto index = every.counted_from_end ? shapes - 1 - k % shapes : k % shapes;
      const auto lasts = step_.shapes[index].lasts + end_slack;
      const auto due = every.counted_from_end ? reach.until - lasts - away : reach.from + away;
      if (due < reach.from || due + lasts > reach.until) break;
      targets.push_back({due, index});
    }
    if (every.counted_from_end) std::ranges::reverse(targets);
    return targets;
  }

  [[nodiscard]] Duration longest_set() const {
    return std::ranges::max_element(step_.shapes, {}, &SetShape::lasts)->lasts;
  }

  [[nodiscard]] RigStep single(Utc due, std::size_t set) const {
    const auto index = set % step_.shapes.size();
    return part(due, due + step_.shapes[index].lasts + step_.patience, {{due, index}});
  }

  [[nodiscard]] RigStep part(Utc from, Utc until, std::vector<Target> targets) const {
    auto out = step_;
    out.from = from;
    out.until = until;
    out.predicted_sets = static_cast<int>(targets.size());
    out.targets = std::move(targets);
    return out;
  }

  const Given& given_;
  const plan::Shooting& shooting_;
  const RigStep& step_;
};

}  // namespace

Result<std::vector<RigStep>> pace_step(const Given& given, const plan::Shooting& shooting,
                                       const RigStep& step) {
  return std::visit(Pacer{given, shooting, step}, shooting.pace);
}

}  // namespace noonfall::timeline
