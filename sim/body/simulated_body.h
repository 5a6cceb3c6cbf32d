// A camera body as its host meets it, with no hardware and no clock: what it answers to each call, and when.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "lib/body/model.h"
#include "lib/body/profile.h"
#include "lib/order/order.h"
#include "lib/rig/camera.h"
#include "lib/rig/device.h"
#include "lib/time/utc.h"
#include "sim/body/card_clock.h"
#include "sim/body/fault.h"
#include "sim/body/faults_in_force.h"
#include "sim/body/settings.h"

namespace noonfall::sim {

struct BodySetup {
  body::Profile profile;
  body::Files files = body::Files::raw;
  std::uint64_t seed = 0;
  double detune = 1;  // the body's own times over its profile's, see detuned()
  std::vector<Fault> faults;
  int taken_before = 0;  // pictures of a run before this one: they lie on the card and cost battery
};

/// A picture the body took, whatever its host came to know of it.
struct RecordedFrame {
  order::FrameId id;
  Utc released;
  Utc opened;
  Utc closed;
  exposure::Exposure exposure;
  body::Drive drive = body::Drive::single;
  std::vector<std::string> files;
  bool operator==(const RecordedFrame&) const = default;
};

/// Behaves as its profile says: a release opens the shutter after the lag, a frame that comes too early or
/// finds no room in the buffer is answered busy, a burst waits for room. When first powered and after each
/// reopening it stands at its first choices, single drive. Each answer is complete when given and is dated
/// `at`, now or later; `now` never goes back from call to call.
class SimulatedBody final : public rig::Camera {
 public:
  explicit SimulatedBody(BodySetup setup);

  [[nodiscard]] rig::DeviceAnswer answer(const rig::DeviceCall& call, Utc now) override;
  [[nodiscard]] rig::Care look_after(Utc now, Utc until) override;

  /// A release of one frame at bulb: its shutter closes at `closes`, or as soon as it has opened.
  [[nodiscard]] rig::DeviceAnswer release_bulb(const rig::ReleaseCall& call, Utc now, Utc closes);

  /// A release whose frames have these times, one each: as a bracket that is in force beside the settings.
  [[nodiscard]] rig::DeviceAnswer release_bracket(const rig::ReleaseCall& call, Utc now,
                                                  std::vector<exposure::Shutter> times);

  /// The truth that logs are compared with, in the order taken. A frame released twice stands here twice.
  [[nodiscard]] const std::vector<RecordedFrame>& taken() const { return taken_; }
  [[nodiscard]] Megabytes card_free() const { return card_free_; }
  [[nodiscard]] int battery_frames_left() const { return battery_frames_; }
  [[nodiscard]] Megabytes buffer_used(Utc now) const { return buffer_.used(card_clock_.card_time(now)); }
  /// When everything taken so far is on the card.
  [[nodiscard]] Utc written_by() const;
  /// What a frame leaves from now on.
  void leave(body::Files files);

 private:
  [[nodiscard]] rig::DeviceAnswer answer_in_line(const rig::DeviceCall& call, Utc now);
  [[nodiscard]] rig::DeviceAnswer set(const rig::SettingsCall& call, Utc now);
  [[nodiscard]] rig::DeviceAnswer release(const rig::ReleaseCall& call, Utc now);
  [[nodiscard]] rig::DeviceAnswer drain(Utc now) const;
  [[nodiscard]] rig::DeviceAnswer reopen(Utc now);

  [[nodiscard]] std::string why_refused(const rig::ReleaseCall& call) const;
  [[nodiscard]] std::string why_busy(Utc now, Utc opening);
  [[nodiscard]] bool card_full() const;
  [[nodiscard]] Utc with_room(Utc opening) const;
  rig::DeviceAnswer take(const rig::ReleaseCall& call, Utc now, Utc opening);
  rig::TakenFrame expose(const order::FrameId& id, Utc released, Utc opening,
                         std::optional<exposure::Shutter> of_bracket);

  [[nodiscard]] rig::DeviceAnswer soon(rig::Answer answer, Utc now, std::string why) const;
  [[nodiscard]] rig::DeviceAnswer gone(Utc at, Utc called) const;
  [[nodiscard]] bool off_line(Utc now) const;

  body::Profile profile_;  // detuned
  Megabytes frame_size_;
  body::Files files_;
  std::uint64_t seed_;
  double detune_;
  FaultsInForce faults_;
  CardClock card_clock_;

  Settings settings_;
  std::vector<exposure::Shutter> bracket_;  // of the drive of that name
  body::Buffer buffer_;                     // in card time
  Megabytes card_free_;
  int battery_frames_;
  int taken_before_;
  Utc line_open_since_ = Utc::min();
  Utc occupied_until_ = Utc::min();  // exposing or reading out
  Utc next_opening_ = Utc::min();    // the shutter can't open earlier
  std::optional<Utc> bulb_closes_;   // of the release under way
  std::vector<RecordedFrame> taken_;
};

}  // namespace noonfall::sim
