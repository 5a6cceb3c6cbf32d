// A real body by libgphoto2: the verbs of lib/rig over its driver's calls.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "daemon/gphoto/body_search.h"
#include "daemon/gphoto/dials.h"
#include "daemon/gphoto/frame_files.h"
#include "daemon/gphoto/release_path.h"
#include "daemon/worker/stop_signal.h"
#include "daemon/worker/worker_clock.h"
#include "lib/body/model.h"
#include "lib/body/profile.h"
#include "lib/ports/camera.h"

namespace noonfall::gphoto {

struct CabledSetup {
  std::string serial;
  body::Profile profile;
  body::Files files = body::Files::raw;
};

/// Opens the body with the first call. The driver's every call is bounded (library.cpp) and so is what is
/// done around it, but for a release, which lasts as long as its frames. A body that answers nothing three
/// times running counts as gone.
class GphotoCamera final : public ports::Camera {
 public:
  GphotoCamera(CabledSetup setup, worker::WorkerClock& clock, const worker::StopSignal& stop);

  [[nodiscard]] rig::DeviceAnswer answer(const rig::DeviceCall& call, Utc now) override;
  [[nodiscard]] ports::Care look_after(Utc now, Utc until) override;

 private:
  enum class State { closed, there, away };

  /// An open body and what was learnt of it at opening.
  struct Body {
    Session session;
    Dials dials;
    std::unique_ptr<ReleasePath> path;

    /// Whether the body has taken this setting, as far as it tells.
    [[nodiscard]] Tried<bool> has(const Dials::Sent& sent, const std::vector<std::string>& told);
  };

  // gphoto_camera.cpp: the verbs
  [[nodiscard]] rig::DeviceAnswer set(const rig::SettingsCall& call);
  [[nodiscard]] Tried<void> settle(const std::vector<Dials::Sent>& sent, const rig::SettingsCall& call);
  [[nodiscard]] rig::DeviceAnswer drain();
  [[nodiscard]] rig::DeviceAnswer reopen(const rig::ReopenCall& call);
  [[nodiscard]] std::optional<std::string> open();
  [[nodiscard]] rig::DeviceAnswer failed(const DriverError& error);
  [[nodiscard]] rig::DeviceAnswer said(rig::Answer answer, std::string why);
  [[nodiscard]] rig::DeviceAnswer went(std::string why);
  [[nodiscard]] Utc now() { return clock_.now(); }

  // gphoto_release.cpp: taking frames
  struct Burst;
  [[nodiscard]] rig::DeviceAnswer release(const rig::ReleaseCall& call);
  [[nodiscard]] rig::DeviceAnswer release_bulb(const rig::ReleaseCall& call);
  [[nodiscard]] Burst burst_of(const rig::ReleaseCall& call);
  void keep_open(Utc until);
  void note_time(const Burst& burst);
  [[nodiscard]] std::string why_refused(const rig::ReleaseCall& call) const;
  [[nodiscard]] std::size_t fitting(const rig::ReleaseCall& call);
  void take_note_of(const Burst& burst);
  void hold(const Burst& burst);
  void wait_for_frames(const Burst& burst);
  [[nodiscard]] bool all_announced(const Burst& burst) const;
  [[nodiscard]] rig::DeviceAnswer taken(const Burst& burst);

  // gphoto_care.cpp: between calls
  [[nodiscard]] Tried<void> read_news(Duration most, int wait_ms);
  void take(const News& news);
  void check_health(ports::Care& care);
  void reconcile(ports::Care& care);
  void note_late_files(ports::Care& care);

  CabledSetup setup_;
  worker::WorkerClock& clock_;
  const worker::StopSignal& stop_;
  Library library_;
  State state_ = State::closed;
  std::optional<Body> body_;
  std::optional<Found> last_place_;
  int silences_ = 0;  // in a row

  rig::SettingsCall present_;            // as last read back
  std::vector<std::string> dials_told_;  // news of settings since they were last sent
  FrameFiles files_;
  body::Buffer buffer_;           // what the card should still be busy with
  std::set<std::string> card_;    // files known to be on it
  Utc quiet_since_ = Utc::min();  // the last news of a picture, or when one was to be expected
  Utc next_health_ = Utc::min();
  bool listed_ = false;
  bool memory_alarm_ = false;       // said
  bool battery_alarm_ = false;      // said
  std::vector<std::string> notes_;  // for the next look
  std::vector<std::string> alarms_;
};

}  // namespace noonfall::gphoto
