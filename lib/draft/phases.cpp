#include "lib/draft/phases.h"

#include <algorithm>

#include "lib/body/model.h"
#include "lib/timeline/filter_window.h"
#include "lib/timeline/steps.h"

namespace noonfall::draft {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;

constexpr Duration usual_window = 30s;
constexpr Duration handling = 8s;
constexpr Duration clock_bound = 100ms;
constexpr double burst_share = 0.85;  // of the full-speed time: bodies are slower than their profiles say

Duration in_tenths(Duration span) {
  return std::chrono::round<std::chrono::duration<std::int64_t, std::deci>>(span);
}

Duration whole_seconds_below(Duration span) {
  return std::chrono::floor<std::chrono::seconds>(span);
}

/// MB a second by which a burst fills the buffer faster than the card empties it.
double filling(const body::Profile& profile, body::Files files, exposure::Shutter shutter) {
  const double interval_s = in_seconds(body::frame_interval(profile, body::Drive::continuous, shutter));
  return body::frame_size(profile, files).value / interval_s - profile.write_rate.value;
}

/// Half a burst about each contact: by what is left at the second of them when the card has had totality to
/// empty the buffer, the frames of the corona meanwhile taking two fifths of its rate.
Duration longest_half(const body::Profile& profile, Duration totality) {
  const double fills = filling(profile, body::Files::raw, {1, 4000});
  if (fills <= 0) return 1h;
  const double room = burst_share * profile.buffer.value;
  const double empties = 0.6 * profile.write_rate.value;
  const double both_s = (room + in_seconds(totality) * empties) / (4 * fills + 2 * empties);
  return from_seconds(std::min(both_s, room / fills / 2));
}

/// About C2, as far as the contact is uncertain and the buffer lasts: alike on both sides, or where the beads
/// are known from the first of them on. What there is no room for is left out before it, never after: at the
/// last bead the body is at full speed.
Stretch burst(const Gear& gear, const body::Profile& profile, Duration uncertain, Duration totality,
              std::optional<Duration> beads_last) {
  const auto most = gear.body && !profile.continuous.empty() ? longest_half(profile, totality) : Duration{6s};
  const auto after = beads_last ? std::max<Duration>(uncertain + 500ms, 1s)
                                : std::clamp<Duration>(uncertain, 1s, 8s) + 1500ms;
  const auto before = beads_last ? *beads_last + after : after;
  const auto until = in_tenths(std::min(after, most));
  return {-in_tenths(std::min(before, 2 * most - until)), until};
}

class Divider {
 public:
  Divider(const Gear& gear, const body::Profile& profile, Duration half)
      : gear_{gear}, gap_{change_time(profile)}, half_{half}, frame_{frame_time(profile)} {}

  Totality divide(Duration window, Duration start, Stretch beads) {
    Totality parts;
    parts.window = window;
    beads.from = std::max(beads.from, start);
    beads.until = std::min(beads.until, half_ / 3);
    const bool has_beads = gear_.body && beads.until - beads.from >= 1s && beads.from < beads.until;
    const auto diamond_end = has_beads ? beads.from - gap_ : Duration{-1s};
    if (diamond_end - start >= 3 * (frame_ + gap_)) parts.diamond = Stretch{start, diamond_end};
    auto now = std::max(start, Duration{gear_.body ? 1s : 4s});
    if (has_beads) {
      parts.beads = beads;
      now = beads.until + gap_;
    }
    share_inner_parts(parts, now);
    parts.corona = {in_tenths(now), 2 * half_ - in_tenths(now)};
    place_earthshine(parts);
    return parts;
  }

 private:
  static Duration frame_time(const body::Profile& profile) {
    return body::opening_to_opening(profile, body::Drive::single, {{1, 60}, {}, {100}},
                                    {{1, 125}, {}, {100}});
  }

  /// Chromosphere and prominences get at most two fifths of what is left up to MID.
  void share_inner_parts(Totality& parts, Duration& now) const {
    if (!gear_.body) return;
    const double scale = std::min(1.0, in_seconds(half_ - now) * 0.4 / in_seconds(12s + 2 * gap_));
    const auto take = [&](Duration wanted, Duration least) -> std::optional<Stretch> {
      const auto lasts = from_seconds(in_seconds(wanted) * scale);
      if (lasts < least) return {};
      const Stretch taken{in_tenths(now), in_tenths(now + lasts)};
      now = taken.until + gap_;
      return taken;
    };
    parts.chromosphere = take(4s, 2 * frame_);
    parts.prominences = take(8s, 4 * frame_ + 500ms);
  }

  void place_earthshine(Totality& parts) const {
    const bool room = gear_.body && gear_.mount == plan::Mount::tracking && half_ >= 60s;
    if (!room) return;
    parts.earthshine = 12s;
    parts.corona.until = in_tenths(half_ - 12s - gap_ - 100ms);
  }

  const Gear& gear_;
  Duration gap_;
  Duration half_;
  Duration frame_;
};

}  // namespace

Duration change_time(const body::Profile& profile) {
  const auto& times = profile.setting_times;
  const auto all = profile.readout + times.shutter + times.aperture + times.iso + times.drive;
  const auto lag = profile.release.typical + profile.release.jitter;
  return in_tenths(std::chrono::ceil<std::chrono::milliseconds>((all + lag) * 13 / 10) + 250ms);
}

std::optional<Duration> full_speed_for(const body::Profile& profile, body::Files files,
                                       exposure::Shutter shutter) {
  if (profile.continuous.empty()) return {};
  const double fills = filling(profile, files, shutter);
  return fills <= 0 ? Duration{1h} : from_seconds(profile.buffer.value / fills);
}

std::optional<Totality> totality_for(const Gear& gear, const contacts::Circumstances& sky, std::size_t place,
                                     std::optional<Duration> beads_last) {
  if (!gear.filter_density || !timeline::window_bounds(sky, clock_bound)) return {};
  const auto& c2 = *sky.at(ContactName::c2);
  const auto& c3 = *sky.at(ContactName::c3);
  const auto uncertain = std::max(c2.uncertainty, c3.uncertainty) + clock_bound;
  const auto window = std::min(usual_window, whole_seconds_below(60s - uncertain));
  const auto start = -window + handling * static_cast<std::int64_t>(place + 1) + 1s;
  const auto half = sky.totality() / 2;
  if (half - start < 3s || half < 3s) return {};
  const auto& profile = gear.body ? *gear.body : timeline::profile_by_hand();
  auto parts = Divider{gear, profile, half}.divide(
      window, start, burst(gear, profile, uncertain, sky.totality(), beads_last));
  const auto corona_time = parts.corona.until - parts.corona.from;
  return corona_time >= 2s ? std::optional{parts} : std::nullopt;
}

}  // namespace noonfall::draft
