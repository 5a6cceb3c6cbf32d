#include "lib/timeline/aiming.h"

#include <algorithm>
#include <cmath>

#include "lib/exposure/framing.h"
#include "lib/timeline/light.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {
namespace {

using namespace std::chrono_literals;
using contacts::TimeSpan;
using exposure::SubjectKind;

constexpr Degrees solar_radius{auwers_solar_radius.value / 3600};
constexpr double least_forward = 0.17;  // cosine of 80 degrees

/// In millimetres on the sensor.
double radius_on_sensor(const View& view) {
  return view.focal_length.value * std::tan(radians(solar_radius));
}

/// The last instant before `is_in` ends, going from where it holds.
Utc last_in(Utc from, Duration step, auto is_in) {
  const auto most = 6h / std::chrono::abs(step);
  auto inside = from;
  for (std::int64_t n = 0; n < most && is_in(inside + step); ++n) inside += step;
  auto outside = inside + step;
  if (is_in(outside)) return inside;
  while (std::chrono::abs(outside - inside) > 100ms) {
    const auto middle = inside + (outside - inside) / 2;
    (is_in(middle) ? inside : outside) = middle;
  }
  return inside;
}

struct Shot {  // a frame, or one end of a span of them
  Utc at;
  bool unfiltered = false;
};

void add_shots(const RigStep& step, std::vector<Shot>& shots) {
  if (step.subject.kind == SubjectKind::landscape) return;
  for (const auto& target : step.targets) {
    shots.push_back({target.due, !step.filtered});
    shots.push_back({target.due + step.shapes[target.shape].lasts, !step.filtered});
  }
  if (!step.targets.empty()) return;
  shots.push_back({step.from, !step.filtered});
  shots.push_back({step.until, !step.filtered});
}

std::vector<Shot> shots_of(const RigStep& step) {
  std::vector<Shot> shots;
  add_shots(step, shots);
  return shots;
}

/// Between two visits; of the frames in totality where there are any. Empty without frames.
std::optional<Utc> middle_of(const std::vector<Shot>& shots, Utc from, Utc until) {
  std::optional<TimeSpan> all;
  std::optional<TimeSpan> unfiltered;
  const auto widen = [](std::optional<TimeSpan>& span, Utc at) {
    if (!span) span = TimeSpan{at, at};
    span = TimeSpan{std::min(span->from, at), std::max(span->until, at)};
  };
  for (const auto& shot : shots) {
    if (shot.at < from || shot.at > until) continue;
    widen(all, shot.at);
    if (shot.unfiltered) widen(unfiltered, shot.at);
  }
  const auto& counts = unfiltered ? unfiltered : all;
  if (!counts) return {};
  return counts->from + (counts->until - counts->from) / 2;
}

class Aimer {
 public:
  Aimer(const Timeline& timeline, std::size_t rig, const View& view)
      : sky_{timeline.circumstances}, view_{view} {
    for (const auto& step : timeline.rigs[rig].steps) add_shots(step, shots_);
    for (std::size_t n = 0; n < timeline.hands_on.size(); ++n)
      if (timeline.hands_on[n].rig == rig) visits_.push_back({n, &timeline.hands_on[n]});
    std::ranges::stable_sort(visits_, {}, [](const Visit& visit) { return visit.span->from; });
  }

  [[nodiscard]] std::vector<Aiming> aimings() const {
    std::vector<Aiming> all;
    const auto first = std::ranges::min_element(shots_, {}, &Shot::at);
    if (first == shots_.end()) return all;
    add({}, Utc::min(), first->at, visits_.empty() ? Utc::max() : visits_.front().span->from, {}, all);
    for (std::size_t n = 0; n < visits_.size(); ++n) {
      const auto& [span, visit] = visits_[n];
      const auto next = n + 1 < visits_.size() ? visits_[n + 1].span->from : Utc::max();
      add(span, visit->until, visit->until, next, visit->aim, all);
    }
    return all;
  }

 private:
  struct Visit {
    std::size_t index;
    const HandsOnSpan* span;
  };

  void add(std::optional<std::size_t> span, Utc from, Utc until, Utc next, std::optional<Utc> aim,
           std::vector<Aiming>& all) const {
    const auto centred = aim ? aim : middle_of(shots_, from, next);
    if (!centred) return;
    const auto stays = stays_in_frame(view_, sky_, *centred);
    const auto sun = contacts::sun_at(sky_, until);
    if (!stays || !sun) return;
    const auto pointing = pointing_at(sky_, *centred);
    all.push_back({span, until, *centred, pointing, place_in_frame(view_, pointing, *sun), *stays});
  }

  const contacts::Circumstances& sky_;
  const View& view_;
  std::vector<Shot> shots_;
  std::vector<Visit> visits_;
};

std::optional<Passage> passage_of(const View& view, const contacts::Circumstances& sky,
                                  const std::vector<Aiming>& aimings, const RigStep& step) {
  std::optional<Passage> passage;
  if (aimings.empty()) return passage;
  for (const auto& shot : shots_of(step)) {
    const auto place =
        place_in_frame(view, in_force(aimings, shot.at).pointing, *contacts::sun_at(sky, shot.at));
    const double room = room_in_frame(view, place);
    if (!passage) passage = Passage{place, place, place, shot.at, room};
    passage->last = place;
    if (room >= passage->room) continue;
    passage->farthest = place;
    passage->farthest_at = shot.at;
    passage->room = room;
  }
  return passage;
}

bool sees_the_sun(const RigTimeline& rig) {
  return std::ranges::any_of(rig.steps,
                             [](const RigStep& step) { return step.subject.kind != SubjectKind::landscape; });
}

Framing framing_of(const Given& given, const plan::Rig& rig, const View& view) {
  Framing framing;
  framing.width = exposure::field_of_view(view.width, view.focal_length);
  framing.height = exposure::field_of_view(view.height, view.focal_length);
  framing.sun = exposure::sun_image(view.focal_length);
  framing.sun_pixels = framing.sun.value * 1000 / rig.sensor->pixel.value;
  framing.sun_share = std::min(1.0, framing.sun.value / view.height.value);
  framing.corona_radii = std::max(0.0, room_in_frame(view, {}) - 1);
  if (rig.mount == plan::Mount::tracking) return framing;
  framing.untrailed = longest_on_mount(given, rig, {SubjectKind::prominences});
  framing.on_film = exposure::longest_untrailed_on_film(rig.focal_length);
  return framing;
}

}  // namespace

std::optional<View> view_of(const plan::Rig& rig) {
  if (!rig.sensor) return {};
  return View{rig.focal_length, rig.sensor->width, rig.sensor->height};
}

FramePlace place_in_frame(const View& view, const Pointing& pointing, const contacts::SunPlace& sun) {
  const double h0 = radians(pointing.altitude);
  const double h = radians(sun.apparent_altitude);
  const double turned = radians(Degrees{sun.azimuth.value - pointing.azimuth.value});
  const double across = std::cos(h) * std::sin(turned);
  const double above = std::sin(h) * std::cos(h0) - std::cos(h) * std::sin(h0) * std::cos(turned);
  const double forward = std::sin(h) * std::sin(h0) + std::cos(h) * std::cos(h0) * std::cos(turned);
  const double scale = view.focal_length.value / std::max(forward, least_forward);
  return {across * scale / view.width.value, above * scale / view.height.value};
}

double room_in_frame(const View& view, const FramePlace& place) {
  const double across = (0.5 - std::abs(place.right)) * view.width.value;
  const double along = (0.5 - std::abs(place.up)) * view.height.value;
  return std::min(across, along) / radius_on_sensor(view);
}

Pointing pointing_at(const contacts::Circumstances& sky, Utc centred) {
  const auto sun = contacts::sun_at(sky, centred).value_or(contacts::SunPlace{});
  return {sun.apparent_altitude, sun.azimuth};
}

std::optional<TimeSpan> stays_in_frame(const View& view, const contacts::Circumstances& sky, Utc centred,
                                       double radii) {
  const auto pointing = pointing_at(sky, centred);
  const auto is_in = [&](Utc at) {
    const auto sun = contacts::sun_at(sky, at);
    return sun && room_in_frame(view, place_in_frame(view, pointing, *sun)) >= radii;
  };
  if (!is_in(centred)) return {};
  return TimeSpan{last_in(centred, -15s, is_in), last_in(centred, 15s, is_in)};
}

const Aiming& in_force(const std::vector<Aiming>& aimings, Utc at) {
  const auto after = std::ranges::find_if(aimings.begin() + 1, aimings.end(),
                                          [&](const Aiming& aiming) { return aiming.until > at; });
  return *(after - 1);
}

Duration readout_over_sun(const body::Profile& profile, const Framing& framing) {
  return from_seconds(in_seconds(profile.rolling_readout) * framing.sun_share);
}

void frame_the_sun(const Given& given, Timeline& timeline) {
  for (std::size_t r = 0; r < timeline.rigs.size(); ++r) {
    auto& planned = timeline.rigs[r];
    const auto& rig = given.plan.rigs[r];
    const auto view = view_of(rig);
    if (!view || !sees_the_sun(planned)) continue;
    planned.framing = framing_of(given, rig, *view);
    if (rig.mount == plan::Mount::tracking) continue;
    planned.framing->aimings = Aimer{timeline, r, *view}.aimings();
    for (auto& step : planned.steps)
      step.passage = passage_of(*view, given.sky, planned.framing->aimings, step);
  }
}

}  // namespace noonfall::timeline
