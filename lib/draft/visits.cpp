#include "lib/draft/visits.h"

#include <algorithm>

#include "lib/timeline/aiming.h"

namespace noonfall::draft {
namespace {

using namespace std::chrono_literals;
using contacts::TimeSpan;

constexpr int most_visits = 6;
constexpr double inner_corona = 1.5;  // radii from the Sun's centre
constexpr Duration least_part = 3s;

bool holds(const std::optional<TimeSpan>& outer, const TimeSpan& inner) {
  return inner.from >= inner.until || (outer && outer->from <= inner.from && inner.until <= outer->until);
}

TimeSpan overlap(const TimeSpan& a, const TimeSpan& b) {
  return {std::max(a.from, b.from), std::min(a.until, b.until)};
}

class Parts {
 public:
  Parts(const timeline::View& view, const contacts::Circumstances& sky, TimeSpan frames, TimeSpan inner)
      : view_{view}, sky_{sky}, frames_{frames}, inner_{inner} {}

  [[nodiscard]] std::vector<TimeSpan> divided(int count) const {
    std::vector<TimeSpan> parts;
    const auto each = (frames_.until - frames_.from) / count;
    for (int n = 0; n < count; ++n) {
      parts.push_back({frames_.from + each * n + (n == 0 ? 0s : half_a_visit),
                       frames_.from + each * (n + 1) - (n + 1 == count ? 0s : half_a_visit)});
    }
    return parts;
  }

  [[nodiscard]] bool has_room_for_visits(const std::vector<TimeSpan>& parts) const {
    return std::ranges::all_of(parts.begin() + 1, parts.end(), [&](const TimeSpan& part) {
      return part.from - 2 * half_a_visit >= inner_.from + least_part &&
             part.from <= inner_.until - least_part;
    });
  }

  [[nodiscard]] bool stay_in_frame(const std::vector<TimeSpan>& parts) const {
    return std::ranges::all_of(parts, [&](const TimeSpan& part) {
      return holds(stays(part, 1), part) && holds(stays(part, inner_corona), overlap(part, inner_));
    });
  }

  [[nodiscard]] Duration room(const std::vector<TimeSpan>& parts) const {
    const auto first = stays(parts.front(), 1);
    const auto last = stays(parts.back(), 1);
    if (!first || !last) return {};
    return std::min(parts.front().from - first->from, last->until - parts.back().until);
  }

 private:
  [[nodiscard]] std::optional<TimeSpan> stays(const TimeSpan& part, double radii) const {
    return timeline::stays_in_frame(view_, sky_, part.from + (part.until - part.from) / 2, radii);
  }

  const timeline::View& view_;
  const contacts::Circumstances& sky_;
  TimeSpan frames_;
  TimeSpan inner_;
};

}  // namespace

Visits visits_for(const Gear& gear, const contacts::Circumstances& sky, TimeSpan frames, TimeSpan inner) {
  if (gear.mount == plan::Mount::tracking || !gear.sensor) return {.room = 24h};
  const timeline::View view{gear.focal_length, gear.sensor->width, gear.sensor->height};
  const Parts all{view, sky, frames, inner};
  auto parts = all.divided(1);
  for (int count = 2; count <= most_visits + 1 && !all.stay_in_frame(parts); ++count) {
    auto more = all.divided(count);
    if (!all.has_room_for_visits(more)) break;
    parts = std::move(more);
  }
  Visits visits{.room = all.room(parts)};
  for (std::size_t n = 1; n < parts.size(); ++n) visits.middles.push_back(parts[n].from - half_a_visit);
  return visits;
}

}  // namespace noonfall::draft
