#include "lib/measure/fit.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "lib/body/model.h"
#include "lib/body/profile_text.h"
#include "lib/measure/explain.h"
#include "lib/measure/stamps.h"

namespace noonfall::measure {
namespace {

using namespace std::chrono_literals;
using body::IntervalPoint;
using body::OpeningStamp;

constexpr std::size_t least_lags = 8;
constexpr double within = 0.01;  // of an interval; points that agree so well are one line
// Not measured (common practice, no source).
constexpr int cautious_battery_frames = 500;
constexpr Megabytes unknown_card{32'000};
constexpr double raw_of_jpeg = 3;

/// `told`: the lag itself. Otherwise what it can't be more than: lag and readout together.
std::vector<Duration> lags_of(const std::vector<Heard>& heard, OpeningStamp stamp) {
  if (stamp == OpeningStamp::inferred) return occupied_times(heard);
  std::vector<Duration> lags;
  each_single(heard, [&](const Heard& one) {
    lags.push_back(one.answer.frames.front().opened - one.answer.released);
  });
  return lags;
}

/// The median of those that were whole.
std::optional<MeasuredBracket> bracket_of(const std::vector<Heard>& heard, OpeningStamp stamp) {
  std::vector<Duration> spans;
  std::vector<exposure::Shutter> times;
  for (const auto& one : heard) {
    if (one.part != Part::bracket) continue;
    if (const auto* set = std::get_if<rig::SettingsCall>(&one.call)) times = set->bracket;
    if (times.empty() || one.answer.frames.size() != times.size()) continue;
    const auto end = stamp == OpeningStamp::told ? one.answer.frames.back().closed : one.answer.at;
    spans.push_back(end - one.answer.released);
  }
  if (spans.empty()) return std::nullopt;
  return MeasuredBracket{std::move(times), median(std::move(spans))};
}

/// Few tries don't show the extremes. For luck spread evenly or with thinning tails n of them reach about
/// 1 - 1/sqrt(n) of the way (a sum of two even spreads: 1 - 0.89/sqrt(n)), so the widest seen is widened by
/// that.
body::ReleaseLag release_of(const std::vector<Duration>& lags, OpeningStamp stamp) {
  const auto typical = std::max(median(lags), Duration{});
  if (stamp == OpeningStamp::inferred) return {typical / 2, typical / 2};
  Duration widest{};
  for (const auto lag : lags) widest = std::max(widest, std::max(lag - typical, typical - lag));
  const double shown = 1 - 0.89 / std::sqrt(static_cast<double>(lags.size()));
  return {typical, std::min(typical, from_seconds(in_seconds(widest) / shown))};
}

Duration exposure_of(const rig::TakenFrame& frame) {
  return frame.closed - frame.opened;
}

Duration least(const std::vector<Duration>& spans) {
  return *std::min_element(spans.begin(), spans.end());
}

/// The least interval of each exposure: the others had the host's asking again in them.
std::vector<IntervalPoint> single_points(const std::vector<Heard>& heard) {
  std::map<Duration, std::vector<Duration>> by_exposure;
  const Heard* before = nullptr;
  for (const auto& one : heard) {
    const bool pace = one.part == Part::single_pace && !one.answer.frames.empty();
    if (pace && before != nullptr) {
      const auto& earlier = before->answer.frames.front();
      by_exposure[exposure_of(earlier)].push_back(one.answer.frames.front().opened - earlier.opened);
    }
    before = pace ? &one : nullptr;
  }
  std::vector<IntervalPoint> points;
  for (const auto& [exposure, spans] : by_exposure)
    points.push_back({exposure, std::max(exposure, least(spans))});
  return points;
}

/// From how much longer the longer of two bursts kept the body.
std::vector<IntervalPoint> inferred_burst_points(const std::vector<Heard>& heard) {
  std::vector<IntervalPoint> points;
  const Heard* before = nullptr;
  for (const auto& one : heard) {
    if (one.part != Part::burst || one.answer.frames.empty()) continue;
    const auto exposure = exposure_of(one.answer.frames.front());
    const bool pair = before != nullptr && exposure_of(before->answer.frames.front()) == exposure &&
                      one.answer.frames.size() > before->answer.frames.size();
    if (pair) {
      const auto longer =
          (one.answer.at - one.answer.released) - (before->answer.at - before->answer.released);
      const auto more = static_cast<std::int64_t>(one.answer.frames.size() - before->answer.frames.size());
      points.push_back({exposure, std::max(exposure, longer / more)});
    }
    before = &one;
  }
  return points;
}

std::vector<IntervalPoint> burst_points(const std::vector<Heard>& heard) {
  std::vector<IntervalPoint> points;
  for (const auto& one : heard) {
    if (one.part != Part::burst || one.answer.frames.size() < 3) continue;
    const auto exposure = exposure_of(one.answer.frames.front());
    if (!points.empty() && exposure <= points.back().exposure) continue;
    points.push_back({exposure, std::max(exposure, median(intervals(one.answer)))});
  }
  return points;
}

/// Of an inferred lag the readout is the other half of what is known.
Duration readout_of(const std::vector<Heard>& heard, OpeningStamp stamp) {
  const auto occupied = std::max(median(occupied_times(heard)), Duration{});
  if (stamp == OpeningStamp::inferred) return occupied - occupied / 2;
  std::vector<Duration> spans;
  each_single(heard,
              [&](const Heard& one) { spans.push_back(one.answer.at - one.answer.frames.back().closed); });
  return std::max(median(std::move(spans)), Duration{});
}

body::BytesPerFile complete(const FileSizes& sizes) {
  if (sizes.raw.value == 0) return {{sizes.jpeg.value * raw_of_jpeg}, sizes.jpeg};
  if (sizes.jpeg.value == 0) return {sizes.raw, {sizes.raw.value / raw_of_jpeg}};
  return {sizes.raw, sizes.jpeg};
}

Megabytes rounded(Megabytes size) {
  const double step = size.value < 10 ? 0.1 : size.value < 1000 ? 1 : 10;
  return {std::max(0.1, std::round(size.value / step) * step)};
}

Duration to_tenths_of_ms(Duration span) {
  return (span + 50us) / 100 * 100;
}

void round_points(std::vector<IntervalPoint>& points) {
  for (auto& point : points) point.interval = std::max(point.exposure, to_tenths_of_ms(point.interval));
}

void round_all(body::Profile& profile) {
  auto& times = profile.setting_times;
  for (auto* span : {&times.shutter, &times.aperture, &times.iso, &times.drive, &profile.readout,
                     &profile.release.typical})
    *span = to_tenths_of_ms(*span);
  profile.release.jitter = std::min(to_tenths_of_ms(profile.release.jitter), profile.release.typical);
  round_points(profile.single);
  round_points(profile.continuous);
  profile.files = {rounded(profile.files.raw), rounded(profile.files.jpeg)};
  const Megabytes one_frame{profile.files.raw.value + profile.files.jpeg.value};
  profile.buffer = std::max(rounded(profile.buffer), rounded(one_frame));
  profile.write_rate = rounded(profile.write_rate);
  profile.card = rounded(profile.card);
}

body::Profile profile_of(const std::vector<Heard>& heard, const body::Description& told) {
  body::Profile profile;
  profile.choices = told.choices;
  profile.setting_times = {
      median(change_times(heard, Part::shutter_change)), median(change_times(heard, Part::aperture_change)),
      median(change_times(heard, Part::iso_change)), median(change_times(heard, Part::drive_change))};
  profile.single = single_points(heard);
  profile.continuous =
      told.opening == OpeningStamp::told ? burst_points(heard) : inferred_burst_points(heard);
  profile.readout = readout_of(heard, told.opening);
  profile.shutter_types = {body::ShutterType::mechanical};
  profile.battery_frames = cautious_battery_frames;
  profile.card = told.card ? told.card->free : unknown_card;
  return profile;
}

/// A comment ends with its line, whatever a body has in its name.
std::string on_one_line(std::string text) {
  std::replace_if(
      text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < ' '; }, ' ');
  return text;
}

double gap(const IntervalPoint& a, const IntervalPoint& point, const IntervalPoint& b) {
  const double share = in_seconds(point.exposure - a.exposure) / in_seconds(b.exposure - a.exposure);
  return in_seconds(point.interval - a.interval) - share * in_seconds(b.interval - a.interval);
}

std::optional<Filling> filling_of(const std::vector<Heard>& heard, OpeningStamp stamp,
                                  const body::Profile& profile, Megabytes frame) {
  if (stamp == OpeningStamp::told || profile.continuous.empty()) return filling(heard, frame);
  const auto burst =
      std::find_if(heard.begin(), heard.end(), [](const Heard& one) { return one.part == Part::fill; });
  if (burst == heard.end()) return std::nullopt;
  return filling_of_long_burst(*burst, frame, profile.continuous.front().interval,
                               median(occupied_times(heard)));
}

}  // namespace

std::vector<IntervalPoint> without_needless(std::vector<IntervalPoint> points, Duration tolerance) {
  const double most = in_seconds(tolerance);
  // Beyond the last point a frame grows with its exposure.
  while (points.size() > 1) {
    const auto& last = points.back();
    const auto& before = points[points.size() - 2];
    const auto grown = before.interval + (last.exposure - before.exposure);
    if (std::abs(in_seconds(last.interval - grown)) > most) break;
    points.pop_back();
  }
  // From each kept point as far as one straight line serves all that it passes.
  std::vector<IntervalPoint> kept;
  for (std::size_t from = 0; from < points.size();) {
    kept.push_back(points[from]);
    std::size_t to = from + 1;
    const auto straight = [&](std::size_t end) {
      for (std::size_t n = from + 1; n < end; ++n) {
        if (std::abs(gap(points[from], points[n], points[end])) > most) return false;
      }
      return true;
    };
    while (to + 1 < points.size() && straight(to + 1)) ++to;
    from = to;
  }
  return kept;
}

Result<Measured> fit(const Series& series, const body::Description& told, const FileSizes& sizes,
                     const std::string& name) {
  if (!series.why_failed().empty())
    return fail(error_at({}, "measure", fmt::format("the series ended early: {}", series.why_failed())));
  const auto& heard = series.heard();
  Measured measured;
  measured.lags = lags_of(heard, told.opening);
  measured.frames = series.frames_taken();
  measured.profile = profile_of(heard, told);
  auto& profile = measured.profile;
  profile.name = name;
  profile.files = complete(sizes);
  const Megabytes frame{sizes.raw.value + sizes.jpeg.value};
  const auto filled = filling_of(heard, told.opening, profile, frame);
  if (measured.lags.size() < least_lags || profile.single.empty() || !filled || frame.value <= 0)
    return fail(error_at({}, "measure", "too few frames were taken to tell how the body behaves"));
  measured.filling = *filled;
  profile.release = release_of(measured.lags, told.opening);
  profile.buffer = filled->buffer;
  profile.write_rate = filled->write_rate;
  const auto tolerance = from_seconds(in_seconds(profile.single.front().interval) * within);
  profile.single = without_needless(std::move(profile.single), tolerance);
  if (!profile.continuous.empty()) profile.continuous = without_needless(std::move(profile.continuous), 1ms);
  measured.bracket = bracket_of(heard, told.opening);
  if (measured.bracket && !profile.continuous.empty()) profile.brackets = series.brackets();
  round_all(profile);
  measured.notes = notes_on(measured, told, sizes);
  return measured;
}

std::string to_yaml(const Measured& measured) {
  std::string text;
  for (const auto& note : measured.notes) text += fmt::format("# {}\n", on_one_line(note));
  return text + '\n' + body::to_text(measured.profile);
}

}  // namespace noonfall::measure
