#include "sim/wire/tethered_camera.h"

#include <algorithm>
#include <utility>

#include "lib/body/model.h"
#include "lib/exposure/bracket.h"
#include "sim/body/detune.h"
#include "sim/body/file_names.h"
#include "sim/wire/property_sheet.h"

namespace noonfall::wire {
namespace {

using rig::Answer;

constexpr int longest_burst = 999;

CameraAnswer answer_of(const rig::DeviceAnswer& answer) {
  return {answer.answer, answer.at, answer.why};
}

/// The times of its frames, in the order taken.
std::vector<exposure::Shutter> times_of(const BodyBracket& bracket, exposure::Shutter middle,
                                        const std::vector<exposure::Shutter>& choices) {
  using Order = BodyBracket::Order;
  auto times = exposure::centred_ladder(middle, bracket.frames, bracket.by, choices).shutters;
  if (bracket.order == Order::rising) return times;
  const auto at = static_cast<std::ptrdiff_t>(times.size() / 2);
  std::rotate(times.begin(), times.begin() + at, times.begin() + at + 1);
  if (bracket.order == Order::middle_then_rising) return times;
  // Of those that follow the middle, rising, the shorter half has its nearest last.
  std::vector<exposure::Shutter> outward{times.front()};
  for (std::ptrdiff_t away = 1; away <= at; ++away) {
    outward.push_back(times[static_cast<std::size_t>(at - away + 1)]);
    outward.push_back(times[static_cast<std::size_t>(at + away)]);
  }
  return outward;
}

}  // namespace

TetheredCamera::TetheredCamera(sim::BodySetup setup, const LineFaults& line, const Traits& traits)
    : line_{line},
      traits_{traits},
      profile_{sim::detuned(setup.profile, setup.detune)},
      body_{setup},
      settings_{sim::powered_on(profile_)},
      before_{settings_},
      files_{setup.files} {
  for (int n = 0; n < setup.taken_before; ++n) {
    for (const auto& name : sim::file_names(n, files_)) {
      card_.add_file(name, file_size(name), {}, Utc::min());
    }
  }
}

int TetheredCamera::battery_percent() const {
  return std::max(0, body_.battery_frames_left()) * 100 / std::max(1, profile_.battery_frames);
}

int TetheredCamera::frames_left() const {
  return static_cast<int>(std::max(0.0, card_free().value / body::frame_size(profile_, files_).value));
}

int TetheredCamera::buffer_frames_left(Utc now) const {
  const auto free = profile_.buffer.value - body_.buffer_used(now).value;
  return static_cast<int>(std::max(0.0, free / body::frame_size(profile_, files_).value));
}

CameraAnswer TetheredCamera::open(Utc now) {
  const auto there = body_.answer(rig::DrainCall{}, now);
  CameraAnswer opened{Answer::ok, now, {}};
  if (there.answer == Answer::gone) opened = answer_of(body_.answer(rig::ReopenCall{}, now));
  if (opened.answer != Answer::ok) return opened;
  if (there.answer == Answer::gone) {
    settings_ = sim::powered_on(profile_);
    at_bulb_ = false;
    bracket_.reset();
    notices_.clear();
    held_.reset();
  }
  announce_others(traits_.news_at_opening, opened.at, opened.at);
  false_news_at_ = opened.at;
  return opened;
}

CameraAnswer TetheredCamera::set(const sim::SettingValue& value, Utc now) {
  if (busy(now)) return {Answer::busy, now, "the body is busy"};
  before_ = shown(now);
  const auto wanted = settings_.with(value);
  auto answer = body_.answer(rig::SettingsCall{wanted.exposure, wanted.drive}, std::max(now, settled_at_));
  answer.at += line_.settings_slower_by(now);
  if (answer.answer == Answer::ok || answer.answer == Answer::refused) {
    settings_ = {*answer.exposure, answer.drive};
    settled_at_ = answer.at;
  }
  if (answer.answer == Answer::ok && std::holds_alternative<exposure::Shutter>(value)) at_bulb_ = false;
  if (answer.answer == Answer::ok) announce({answer.at, SettingChanged{value}});
  return answer_of(answer);
}

CameraAnswer TetheredCamera::set_bulb(Utc now) {
  if (busy(now)) return {Answer::busy, now, "the body is busy"};
  if (std::exchange(at_bulb_, true)) return {Answer::ok, now, {}};
  settled_at_ = std::max(now, settled_at_) + profile_.setting_times.shutter + line_.settings_slower_by(now);
  announce({settled_at_, SettingChanged{settings_.exposure.shutter}});
  return {Answer::ok, settled_at_, {}};
}

CameraAnswer TetheredCamera::set_bracket(const std::optional<BodyBracket>& bracket, Utc now) {
  if (busy(now)) return {Answer::busy, now, "the body is busy"};
  if (bracket != bracket_) bracket_frame_ = 0;
  bracket_ = bracket;
  return {Answer::ok, now, {}};
}

CameraAnswer TetheredCamera::leave(body::Files files, Utc now) {
  if (busy(now)) return {Answer::busy, now, "the body is busy"};
  files_ = files;
  body_.leave(files);
  return {Answer::ok, now, {}};
}

CameraAnswer TetheredCamera::release(int frames, Destination destination, Utc now) {
  return release_until(frames, Utc::max(), destination, now);
}

CameraAnswer TetheredCamera::press(Destination destination, Utc now) {
  if (settings_.drive == body::Drive::single && !at_bulb_) return release(1, destination, now);
  if (held_) return {};
  // How many frames it will be is known when the button is let go; whether it takes any, a copy tells now.
  auto ahead = body_;
  const auto answer = ahead.answer(rig::ReleaseCall{next_frames(1), Utc::max()}, now);
  const bool takes = answer.answer == Answer::ok || answer.answer == Answer::no_word;
  if (busy(now) || now < settled_at_ || !takes) return release(1, destination, now);
  held_ = Held{now, ahead.taken().empty() ? now : ahead.taken().back().opened, destination};
  return answer_of(answer);
}

void TetheredCamera::let_go(Utc now) {
  const auto held = std::exchange(held_, std::nullopt);
  if (!held) return;
  release_until(longest_burst, std::max(now, held->first_opening), held->destination, held->since);
}

CameraAnswer TetheredCamera::release_until(int frames, Utc stop_by, Destination destination, Utc now) {
  if (busy(now) || now < settled_at_) return {Answer::busy, now, "the body is busy"};
  const auto first = taken().size();
  const auto answer = ask_for(frames, stop_by, now);
  note_pictures(first, answer, destination);
  // Of an answer that says when a host gives up waiting the body itself knows nothing.
  if (taken().size() > first) {
    const auto done = taken().back().closed + profile_.readout;
    busy_until_ = std::max(busy_until_, answer.answer == Answer::ok ? answer.at : done);
  }
  return answer_of(answer);
}

rig::DeviceAnswer TetheredCamera::ask_for(int frames, Utc stop_by, Utc now) {
  if (at_bulb_) return body_.release_bulb({next_frames(1), Utc::max()}, now, stop_by);
  if (bracket_) return ask_for_bracket(frames, stop_by, now);
  return body_.answer(rig::ReleaseCall{next_frames(frames), stop_by}, now);
}

/// It ends by itself, and sooner where its button is let go: then the next one begins anew.
rig::DeviceAnswer TetheredCamera::ask_for_bracket(int frames, Utc stop_by, Utc now) {
  auto times = times_of(*bracket_, settings_.exposure.shutter, profile_.choices.shutters);
  if (settings_.drive == body::Drive::single) {
    auto answer =
        body_.release_bracket({next_frames(1), Utc::max()}, now, {times[bracket_frame_ % times.size()]});
    if (answer.answer == Answer::ok) ++bracket_frame_;
    return answer;
  }
  const auto release = [&](sim::SimulatedBody& body) {
    return body.release_bracket({next_frames(static_cast<int>(times.size())), Utc::max()}, now, times);
  };
  times.resize(std::min(times.size(), static_cast<std::size_t>(frames)));
  auto ahead = body_;
  (void)release(ahead);
  const auto late =
      std::ranges::count_if(ahead.taken().begin() + static_cast<std::ptrdiff_t>(taken().size()),
                            ahead.taken().end(), [&](const auto& frame) { return frame.opened > stop_by; });
  times.resize(std::max<std::size_t>(1, times.size() - static_cast<std::size_t>(late)));
  bracket_frame_ = 0;
  return release(body_);
}

std::vector<order::FrameId> TetheredCamera::next_frames(int count) const {
  std::vector<order::FrameId> ids;
  for (int n = 0; n < count; ++n) {
    ids.push_back({.set = 1, .frame = static_cast<std::int32_t>(taken().size()) + n + 1});
  }
  return ids;
}

/// The card is written in the order taken, so that the last frame is there when all are.
void TetheredCamera::note_pictures(std::size_t first, const rig::DeviceAnswer& answer,
                                   Destination destination) {
  const auto one_more = body::frame_size(profile_, files_).value / std::max(1e-9, profile_.write_rate.value);
  const auto count = taken().size();
  for (auto n = first; n < count; ++n) {
    const auto& frame = taken()[n];
    const auto behind = static_cast<double>(count - 1 - n);
    const auto written = std::max(frame.closed, body_.written_by() - from_seconds(behind * one_more));
    const auto told = n - first;
    const bool announced =
        answer.answer == Answer::ok && told < answer.frames.size() && answer.frames[told].confirmed;
    const auto there = destination == Destination::host ? frame.closed + profile_.readout : written;
    if (line_.lies(FalseWords::About::picture, frame.closed)) announce({there, PictureAdded{no_picture}});
    note_picture(frame, there, destination, announced);
  }
}

void TetheredCamera::note_picture(const sim::RecordedFrame& frame, Utc there, Destination destination,
                                  bool announced) {
  const auto note = [&](Handle handle) {
    if (announced) announce({there, PictureAdded{handle}});
  };
  for (const auto& name : frame.files) {
    const auto size = file_size(name);
    if (destination != Destination::card)
      note(card_.hold(name.substr(name.rfind('/') + 1), size, frame.opened, there));
    if (destination == Destination::host) continue;
    note(card_.add_file(name, size, frame.opened, there));
    if (traits_.backup_slot) note(card_.add_file(name, size, frame.opened, there, second_storage));
  }
  if (announced) announce({there, FrameComplete{}});
  announce_others(traits_.news_after_frame, frame.opened, there);
}

void TetheredCamera::announce_others(int count, Utc from, Utc until) {
  const auto codes = std::max(1, traits_.more_settings);
  for (int n = 0; n < count; ++n) {
    const auto code = static_cast<std::uint16_t>(first_more_setting + n % codes);
    announce({from + n * (until - from) / count, OtherChanged{code}});
  }
}

std::uint32_t TetheredCamera::file_size(const std::string& name) const {
  const auto size = name.ends_with("JPG") ? profile_.files.jpeg : profile_.files.raw;
  return static_cast<std::uint32_t>(size.value * 1e6);
}

void TetheredCamera::announce(Notice notice) {
  notice.at += line_.news_late_by(notice.at);
  const auto after = std::ranges::upper_bound(notices_, notice.at, {}, &Notice::at);
  notices_.insert(after, notice);
}

std::optional<Notice> TetheredCamera::notice(Utc now) {
  if (notices_.empty() || notices_.front().at > now) return false_news(now);
  const auto next = notices_.front();
  notices_.pop_front();
  return next;
}

std::optional<Notice> TetheredCamera::false_news(Utc now) {
  if (now < false_news_at_ || !line_.lies(FalseWords::About::news, now)) return std::nullopt;
  false_news_at_ = now + std::chrono::milliseconds{1};
  return Notice{now, SettingChanged{settings_.exposure.iso}};
}

std::optional<Utc> TetheredCamera::next_notice_at() const {
  if (line_.lies(FalseWords::About::news, false_news_at_)) return false_news_at_;
  return notices_.empty() ? std::nullopt : std::optional{notices_.front().at};
}

}  // namespace noonfall::wire
