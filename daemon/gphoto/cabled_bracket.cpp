#include <algorithm>
#include <cmath>
#include <iterator>

#include <fmt/format.h>

#include "daemon/gphoto/cabled_camera.h"
#include "lib/body/model.h"
#include "lib/exposure/bracket.h"
#include "lib/exposure/scale.h"

namespace noonfall::gphoto {
namespace {

OwnBracket bracket_of(const std::vector<exposure::Shutter>& times) {
  const auto rising = exposure::short_first(times);
  const auto wide = exposure::exact_seconds(rising.back()) / exposure::exact_seconds(rising.front());
  return {times.size(), {std::log2(wide) / static_cast<double>(rising.size() - 1)}, times != rising};
}

}  // namespace

/// The bracket is as `call` wants it, or none is in force: what remains to be set.
Tried<rig::SettingsCall> CabledCamera::arrange_bracket(rig::SettingsCall call) {
  auto& [session, family, settings] = *body_;
  if (call.bracket == bracket_ && !bracket_.empty()) {
    call.drive = bracket_drive_;
    return call;
  }
  if (!bracket_.empty()) {
    if (auto done = family->no_bracket(*session); !done) return tl::unexpected{done.error()};
    bracket_.clear();
  }
  if (call.bracket.size() < 2) return call;
  auto set = family->bracket(*session, bracket_of(call.bracket));
  if (!set && family->answer_of(set.error()) != rig::Answer::refused) return tl::unexpected{set.error()};
  if (!set || !*set) {
    call.drive = body::Drive::single;
    return call;
  }
  call.drive = bracket_drive_ = (*set)->drive;
  bracket_ = call.bracket;
  std::ranges::move((*set)->sent, std::back_inserter(awaited_));
  // Where it is a drive, any other has to be sent again.
  if (call.drive == body::Drive::bracket) {
    for (const auto& name : drive_names) (void)settings.hear(name, {});
  }
  return call;
}

std::optional<body::OwnBrackets> CabledCamera::own_brackets() {
  if (state_ != State::there) return std::nullopt;
  auto brackets = body_->family->brackets(*body_->session);
  if (brackets.steps.empty() || brackets.frames.empty()) return std::nullopt;
  std::ranges::sort(brackets.steps);
  constexpr Stops most{8};
  brackets.widest = std::min(most, Stops{brackets.steps.back().value * (brackets.frames.back() - 1)});
  return brackets;
}

/// One that an earlier host left on would give every frame another time than the plan's.
void CabledCamera::end_left_bracket(Session& session, Family& family) {
  const auto on = family.bracket_left_on(session);
  if (!on) return;
  if (auto off = family.no_bracket(session); !off) {
    alarms_.push_back(
        fmt::format("bracketing is on (\"{}\") and can't be set to off: {}", *on, words_of(off.error())));
    return;
  }
  notes_.push_back(fmt::format("bracketing was on (\"{}\") and is set to off", *on));
}

CabledCamera::~CabledCamera() {
  if (!body_ || !body_->session || bracket_.empty()) return;
  try {
    (void)body_->family->no_bracket(*body_->session);
  } catch (...) {  // out of memory: the next opening sets it to off
    return;
  }
}

/// By the profile, as predicted.
void CabledCamera::time_bracket(Burst& burst) const {
  std::vector<exposure::Exposure> set;
  for (const auto time : bracket_) {
    set.push_back(wanted_);
    set.back().shutter = time;
    burst.opens.push_back(body::open_time(time));
  }
  burst.offsets = body::predict_set(*setup_.profile, body::Drive::bracket, set).offsets;
}

}  // namespace noonfall::gphoto
