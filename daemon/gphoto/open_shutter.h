// A shutter opened at bulb, that is told to close whatever happens to the one who opened it.
#pragma once

#include "daemon/gphoto/release_path.h"

namespace noonfall::gphoto {

/// From before the shutter is told to open: what was answered nothing may have opened it. For the time of one
/// release; path and session outlive it.
class OpenShutter {
 public:
  OpenShutter(ReleasePath& path, Session& session) : path_{path}, session_{session} {}
  ~OpenShutter();
  OpenShutter(const OpenShutter&) = delete;
  OpenShutter& operator=(const OpenShutter&) = delete;

  [[nodiscard]] Tried<void> open() { return path_.open_bulb(session_); }
  /// Tells it again and again until the body says that it has closed, or is gone, or for so long that it
  /// counts as gone. Later calls do nothing.
  [[nodiscard]] Tried<void> close();
  /// How often it was told.
  [[nodiscard]] int tries() const { return tries_; }

 private:
  ReleasePath& path_;
  Session& session_;
  int tries_ = 0;
};

/// For a body just opened: a process that was killed may have left its shutter open.
void close_left_open(ReleasePath& path, Session& session);

}  // namespace noonfall::gphoto
