// A real body of which nothing is known yet: settings and releases with the host's own stamps, no profile.
#pragma once

#include <functional>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "daemon/gphoto/dials.h"
#include "daemon/gphoto/release_path.h"
#include "daemon/gphoto/session.h"
#include "lib/ports/camera.h"

namespace noonfall::gphoto {

/// A release of one is answered as soon as the body took it, its opening stamped with the release itself:
/// what comes next is answered busy until the body is free. Of a release of several, `frames` are those whose
/// pictures came, and `at` is when the body was free again, found out by changing the ISO value. Files in an
/// answer are those announced since the answer before it. Never reopens.
class PlainCamera final : public ports::Camera {
 public:
  PlainCamera(Session& session, std::function<Utc()> clock);

  [[nodiscard]] rig::DeviceAnswer answer(const rig::DeviceCall& call, Utc now) override;
  /// Of the last release of several.
  [[nodiscard]] const std::vector<Utc>& announcements() const { return announced_; }

 private:
  [[nodiscard]] rig::DeviceAnswer set(const rig::SettingsCall& call);
  [[nodiscard]] rig::DeviceAnswer release(const rig::ReleaseCall& call);
  [[nodiscard]] rig::DeviceAnswer release_many(const rig::ReleaseCall& call);
  [[nodiscard]] rig::DeviceAnswer drain();

  [[nodiscard]] Tried<void> settle(const std::vector<Dials::Sent>& sent);
  [[nodiscard]] bool is_told(const Dials::Sent& sent) const;
  [[nodiscard]] Tried<void> make(const rig::SettingsCall& call);
  [[nodiscard]] Tried<void> until_free(Utc give_up);
  [[nodiscard]] Tried<void> learn_iso_time();
  [[nodiscard]] rig::SettingsCall other_iso() const;
  [[nodiscard]] Tried<void> read_news(int wait_ms);
  [[nodiscard]] Tried<void> read_all_news();
  void take(const News& news);
  void hold(std::size_t frames, Utc until);
  void await_pictures(std::size_t frames);
  [[nodiscard]] rig::DeviceAnswer said(rig::Answer answer, std::string why);
  [[nodiscard]] rig::DeviceAnswer failed(const DriverError& error);

  Session& session_;
  std::function<Utc()> now_;
  Dials dials_;
  std::unique_ptr<ReleasePath> path_;
  rig::SettingsCall present_;
  bool known_ = false;  // `present_` was read back
  Duration iso_time_{};
  std::vector<std::string> told_;  // what else the body said since the last settings were sent
  std::vector<std::string> new_files_;
  std::vector<Utc> announced_;
  std::set<std::string> pictures_;  // of the release in progress, by base name
  Utc last_news_;
};

}  // namespace noonfall::gphoto
