#include <cmath>
#include <utility>

#include "daemon/gphoto/cabled_camera.h"
#include "lib/body/model.h"
#include "lib/exposure/bracket.h"
#include "lib/exposure/scale.h"

namespace noonfall::gphoto {
namespace {

/// From one frame to the next.
Stops step_of(const std::vector<exposure::Shutter>& times) {
  const auto rising = exposure::short_first(times);
  const auto wide = exposure::exact_seconds(rising.back()) / exposure::exact_seconds(rising.front());
  return {std::log2(wide) / static_cast<double>(rising.size() - 1)};
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
    settings = Settings::read(*session);
  }
  if (call.bracket.size() < 2) return call;
  const auto set = family->bracket(*session, call.bracket.size(), step_of(call.bracket));
  if (!set) return tl::unexpected{set.error()};
  call.drive = set->value_or(body::Drive::single);
  if (!*set) return call;
  bracket_ = call.bracket;
  bracket_drive_ = call.drive;
  return call;
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
