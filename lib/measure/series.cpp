#include "lib/measure/series.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <utility>

#include <fmt/format.h>

#include "lib/body/model.h"
#include "lib/exposure/bracket.h"
#include "lib/exposure/scale.h"
#include "lib/measure/stamps.h"

namespace noonfall::measure {
namespace {

using namespace std::chrono_literals;
using body::Drive;
using exposure::Exposure;
using exposure::Shutter;
using rig::Answer;

constexpr Duration ask_again = 2ms;
constexpr Duration longest_busy = 30s;
constexpr Duration longest_burst = 1min;
// For the announcement only (common practice, no source).
constexpr Duration usual_frame = 400ms;
constexpr Duration usual_burst_frame = 100ms;

const rig::SettingsCall* settings_of(const Ask& ask) {
  return std::get_if<rig::SettingsCall>(&ask.call);
}

bool continuous(const Ask& ask) {
  const auto* set = settings_of(ask);
  return set != nullptr && set->drive == body::Drive::continuous;
}

int frames_of(const Ask& ask) {
  const auto* release = std::get_if<rig::ReleaseCall>(&ask.call);
  return release != nullptr ? static_cast<int>(release->frames.size()) : 0;
}

Duration lasts(const Ask& ask, Duration exposure) {
  const int frames = frames_of(ask);
  if (frames == 0) return ask.rest + 100ms;
  return ask.rest + frames * (exposure + (frames > 1 ? usual_burst_frame : usual_frame));
}

constexpr int changes_each_way = 3;
constexpr int rested_frames = 16;
constexpr int followed_frames = 8;
constexpr int frames_of_a_pace = 5;
constexpr int frames_of_a_burst = 6;
constexpr int two_lengths[] = {3, 12};
constexpr int frames_of_a_long_burst = 200;
constexpr int measured_brackets = 3;
constexpr int burst_fills = 20;
constexpr int frames_of_a_fill = 12;
constexpr int single_fills = 40;  // without a burst
constexpr Duration calm = 1s;
// Where openings aren't told a burst is answered when its pictures are on the card: nothing is left to drain.
constexpr Duration burst_drains = 4s;  // six frames to a slow card
constexpr Duration all_drains = 20s;   // else what is left in the buffer is missing from its measured size
constexpr Duration breath = 250ms;

// Where the pace of common bodies bends (common practice, no source).
constexpr double single_pace_s[] = {1e-3, 1.0 / 30, 0.125, 0.25, 0.5, 1, 2};
constexpr double burst_pace_s[] = {1e-3, 1.0 / 60, 1.0 / 50, 1.0 / 30, 1.0 / 15, 0.125};

template <class T>
T nearest_value(double wanted, const std::vector<T>& choices) {
  return *std::min_element(choices.begin(), choices.end(), [&](const T& a, const T& b) {
    const auto off = [&](const T& value) { return std::abs(std::log2(exact_value(value) / wanted)); };
    return off(a) < off(b);
  });
}

Shutter nearest_shutter(double seconds, const std::vector<Shutter>& choices) {
  return exposure::nearest(Seconds{seconds}, choices)->value;
}

std::vector<Shutter> nearest_shutters(std::span<const double> wanted_s, const std::vector<Shutter>& choices) {
  std::vector<Shutter> list;
  for (const double seconds : wanted_s) {
    const auto shutter = nearest_shutter(seconds, choices);
    if (list.empty() || list.back() != shutter) list.push_back(shutter);
  }
  return list;
}

class Writer {
 public:
  explicit Writer(const Subject& subject) : subject_{subject} {
    present_.shutter = nearest_shutter(1e-3, subject.choices.shutters);
    present_.iso = nearest_value(200, subject.choices.isos);
    if (!subject.choices.apertures.empty()) present_.aperture = nearest_value(8, subject.choices.apertures);
  }

  std::vector<Ask> write() && {
    set(Part::preparation, calm);
    frames(Part::preparation, 1, breath);  // the first frame after opening is slow
    changes();
    set(Part::preparation, calm);
    for (int n = 0; n < rested_frames; ++n) frames(Part::single_frame, 1, breath);
    for (int n = 0; n < followed_frames; ++n) followed_frame();
    single_paces();
    if (subject_.offers_burst) bursts();
    if (subject_.brackets) brackets(*subject_.brackets);
    fills();
    return std::move(script_);
  }

 private:
  void set(Part part, Duration rest) { script_.push_back({part, rig::SettingsCall{present_, drive_}, rest}); }

  /// One release.
  void frames(Part part, int count, Duration rest) {
    rig::ReleaseCall call{.frames = {}, .stop_by = Utc::max()};
    ++releases_;
    for (int n = 1; n <= count; ++n)
      call.frames.push_back({0, static_cast<std::int32_t>(part), releases_, n});
    script_.push_back({part, std::move(call), rest});
  }

  template <class T>
  void to_and_fro(Part part, T& setting, T far) {
    if (setting == far) return;
    for (int n = 0; n < 2 * changes_each_way; ++n) {
      std::swap(setting, far);
      set(part, breath);
    }
  }

  void changes() {
    const auto& choices = subject_.choices;
    to_and_fro(Part::shutter_change, present_.shutter, nearest_shutter(1.0 / 60, choices.shutters));
    if (present_.aperture)
      to_and_fro(Part::aperture_change, *present_.aperture, nearest_value(4, choices.apertures));
    to_and_fro(Part::iso_change, present_.iso, nearest_value(1600, choices.isos));
    if (subject_.offers_burst) to_and_fro(Part::drive_change, drive_, Drive::continuous);
  }

  void followed_frame() {
    frames(Part::single_frame, 1, breath);
    const auto base = nearest_value(200, subject_.choices.isos);
    present_.iso = present_.iso == base ? nearest_value(1600, subject_.choices.isos) : base;
    set(Part::after_frame, {});
  }

  void single_paces() {
    for (const auto shutter : nearest_shutters(single_pace_s, subject_.choices.shutters)) {
      present_.shutter = shutter;
      set(Part::preparation, calm);
      for (int n = 0; n < frames_of_a_pace; ++n) frames(Part::single_pace, 1, n == 0 ? breath : 0ms);
    }
  }

  void bursts() {
    drive_ = Drive::continuous;
    for (const auto shutter : nearest_shutters(burst_pace_s, subject_.choices.shutters)) {
      present_.shutter = shutter;
      set(Part::preparation, told() ? burst_drains : calm);
      burst();
    }
  }

  void burst() {
    if (told()) return frames(Part::burst, frames_of_a_burst, breath);
    for (const int count : two_lengths) frames(Part::burst, count, breath);
  }

  /// The narrowest with a whole stop or more between its frames.
  void brackets(const body::OwnBrackets& own) {
    auto step = own.steps.back();
    for (const auto each : own.steps) {
      if (each.value > 0.9) step = std::min(step, each);
    }
    present_.shutter = nearest_shutter(1e-3, subject_.choices.shutters);
    const int count = *std::ranges::min_element(own.frames);
    auto times = exposure::centred_ladder(present_.shutter, count, step, subject_.choices.shutters).shutters;
    const auto middle = times.begin() + count / 2;
    if (own.middle_first) std::rotate(times.begin(), middle, middle + 1);
    script_.push_back({Part::bracket, rig::SettingsCall{present_, Drive::bracket, times}, calm});
    for (int n = 0; n < measured_brackets; ++n) frames(Part::bracket, count, calm);
    drive_ = subject_.offers_burst ? Drive::continuous : Drive::single;
  }

  void fills() {
    present_.shutter = nearest_shutter(1e-3, subject_.choices.shutters);
    set(Part::preparation, told() ? all_drains : calm);
    if (subject_.offers_burst && !told()) return frames(Part::fill, frames_of_a_long_burst, {});
    const int count = subject_.offers_burst ? frames_of_a_fill : 1;
    const int fills = subject_.offers_burst ? burst_fills : single_fills;
    for (int n = 0; n < fills; ++n) frames(Part::fill, count, 0ms);
  }

  [[nodiscard]] bool told() const { return subject_.opening == body::OpeningStamp::told; }

  const Subject& subject_;
  Exposure present_;
  Drive drive_ = Drive::single;
  std::int32_t releases_ = 0;
  std::vector<Ask> script_;
};

}  // namespace

std::string_view to_text(Part part) {
  constexpr std::string_view words[] = {"getting ready",      "shutter changes", "aperture changes",
                                        "ISO changes",        "drive changes",   "single frames",
                                        "single frames",      "back to back",    "bursts",
                                        "filling the buffer", "brackets"};
  return words[static_cast<std::size_t>(part)];
}

rig::DeviceCall call_at(const Ask& ask, Utc now) {
  auto call = ask.call;
  if (auto* release = std::get_if<rig::ReleaseCall>(&call)) release->stop_by = now + longest_burst;
  return call;
}

Series::Series(const Subject& subject) : script_{series_script(subject)}, brackets_{subject.brackets} {}

std::optional<Ask> Series::next() const {
  if (position_ >= script_.size() || !why_failed_.empty()) return std::nullopt;
  auto ask = script_[position_];
  if (busy_since_) ask.rest = ask_again;
  return ask;
}

void Series::hear(Utc called, rig::DeviceAnswer answer, std::vector<Utc> announced) {
  const auto& ask = script_[position_];
  if (answer.answer == Answer::busy) {
    if (!busy_since_) busy_since_ = called;
    if (answer.at - *busy_since_ > longest_busy)
      why_failed_ = fmt::format("{}: busy for half a minute: {}", to_text(ask.part), answer.why);
    return;
  }
  busy_since_.reset();
  if (answer.answer == Answer::ok) return took(called, std::move(answer), std::move(announced));
  if (answer.answer == Answer::refused && continuous(ask)) return drop_bursts();
  if (answer.answer != Answer::gone && ask.part == Part::bracket) return drop_brackets();
  why_failed_ = fmt::format("{}: {}", to_text(ask.part), answer.why);
}

void Series::took(Utc called, rig::DeviceAnswer answer, std::vector<Utc> announced) {
  const auto& ask = script_[position_];
  frames_taken_ += static_cast<int>(answer.frames.size());
  const bool filling = ask.part == Part::fill;
  const bool no_bracket =
      ask.part == Part::bracket && settings_of(ask) != nullptr && answer.drive != Drive::bracket;
  heard_.push_back({ask.part, ask.call, called, std::move(answer), std::move(announced)});
  ++position_;
  if (filling && is_full(heard_)) drop_fill();
  if (no_bracket) drop_brackets();
}

/// The body has no burst after all: what needs one is left out.
void Series::drop_bursts() {
  bool burst = false;
  const auto from = script_.begin() + static_cast<std::ptrdiff_t>(position_);
  script_.erase(std::remove_if(from, script_.end(),
                               [&](const Ask& ask) {
                                 if (settings_of(ask) != nullptr) burst = continuous(ask);
                                 return burst;
                               }),
                script_.end());
}

void Series::drop_fill() {
  script_.resize(position_);
}

void Series::drop_brackets() {
  const auto from = script_.begin() + static_cast<std::ptrdiff_t>(position_);
  script_.erase(std::remove_if(from, script_.end(), [](const Ask& ask) { return ask.part == Part::bracket; }),
                script_.end());
  brackets_.reset();
}

Extent Series::ahead() const {
  Extent extent;
  Duration exposure{};
  for (auto n = position_; n < script_.size(); ++n) {
    if (const auto* set = settings_of(script_[n])) exposure = body::open_time(set->exposure.shutter);
    extent.frames += frames_of(script_[n]);
    extent.lasts += lasts(script_[n], exposure);
  }
  return extent;
}

std::vector<Ask> series_script(const Subject& subject) {
  return Writer{subject}.write();
}

}  // namespace noonfall::measure
