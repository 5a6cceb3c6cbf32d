#include "daemon/worker/call_deadline.h"

#include <algorithm>

#include "lib/base/match.h"
#include "lib/body/model.h"

namespace noonfall::worker {
namespace {

using namespace std::chrono_literals;

// Beyond what the body itself needs. An answer is waited for up to 15 s when nothing else is due
// (cabled_release.cpp).
constexpr Duration settings_patience = 20s;
constexpr Duration release_patience = 20s;
constexpr Duration drain_patience = 40s;  // an exposure may still be running
constexpr Duration reopen_patience = 30s;

/// A burst may wait for room in the buffer, but opens no shutter after `stop_by`.
Duration release_time(const rig::ReleaseCall& call, const rig::SettingsCall& settings,
                      const body::Profile& profile, Utc now) {
  const auto shutter = settings.exposure.shutter;
  const auto frame = body::frame_interval(profile, settings.drive, shutter);
  const auto open = body::open_time(shutter);
  if (call.frames.size() <= 1) return frame + open;
  const auto opening = std::max(call.stop_by - now, Duration{0});
  return std::max(opening, frame * static_cast<std::int64_t>(call.frames.size())) + open;
}

}  // namespace

Utc call_deadline(const rig::DeviceCall& call, const rig::SettingsCall& settings,
                  const body::Profile& profile, Utc now) {
  return now + std::visit(Match{[&](const rig::SettingsCall&) -> Duration { return settings_patience; },
                                [&](const rig::ReleaseCall& release) {
                                  return release_patience + release_time(release, settings, profile, now);
                                },
                                [&](const rig::DrainCall&) -> Duration { return drain_patience; },
                                [&](const rig::ReopenCall&) -> Duration { return reopen_patience; }},
                          call);
}

const char* call_word(const rig::DeviceCall& call) {
  static constexpr const char* words[] = {"settings", "release", "drain", "reopen"};
  return words[call.index()];
}

}  // namespace noonfall::worker
