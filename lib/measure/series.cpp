#include "lib/measure/series.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "lib/body/model.h"
#include "lib/measure/fill.h"
#include "lib/measure/series_script.h"

namespace noonfall::measure {
namespace {

using namespace std::chrono_literals;
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

}  // namespace

std::string_view to_text(Part part) {
  constexpr std::string_view words[] = {
      "getting ready", "shutter changes", "aperture changes", "ISO changes", "drive changes",
      "single frames", "single frames",   "back to back",     "bursts",      "filling the buffer"};
  return words[static_cast<std::size_t>(part)];
}

rig::DeviceCall call_at(const Ask& ask, Utc now) {
  auto call = ask.call;
  if (auto* release = std::get_if<rig::ReleaseCall>(&call)) release->stop_by = now + longest_burst;
  return call;
}

Series::Series(const Subject& subject) : script_{series_script(subject)} {}

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
  why_failed_ = fmt::format("{}: {}", to_text(ask.part), answer.why);
}

void Series::took(Utc called, rig::DeviceAnswer answer, std::vector<Utc> announced) {
  const auto& ask = script_[position_];
  frames_taken_ += static_cast<int>(answer.frames.size());
  const bool filling = ask.part == Part::fill;
  heard_.push_back({ask.part, ask.call, called, std::move(answer), std::move(announced)});
  ++position_;
  if (filling && is_full(heard_)) drop_fill();
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

}  // namespace noonfall::measure
