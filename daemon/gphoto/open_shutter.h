// A shutter opened at bulb, that is told to close whatever happens to the one who opened it.
#pragma once

#include "daemon/gphoto/family.h"
#include "daemon/gphoto/plan_time.h"

namespace noonfall::gphoto {

/// From before the shutter is told to open: what was answered nothing may have opened it. For the time of one
/// release; what it is made of outlives it.
class OpenShutter {
 public:
  OpenShutter(Family& family, Session& session, PlanTime& time)
      : family_{family}, session_{session}, time_{time} {}
  ~OpenShutter();
  OpenShutter(const OpenShutter&) = delete;
  OpenShutter& operator=(const OpenShutter&) = delete;

  [[nodiscard]] Tried<void> open() { return family_.open_bulb(session_); }
  /// Tells it again and again until the body says that it has closed, or is gone, or for so long that it
  /// counts as gone. Later calls do nothing.
  [[nodiscard]] Tried<void> close();
  /// How often it was told.
  [[nodiscard]] int tries() const { return tries_; }

 private:
  Family& family_;
  Session& session_;
  PlanTime& time_;
  int tries_ = 0;
};

/// For a body just opened: a process that was killed may have left its shutter open.
void close_left_open(Family& family, Session& session, PlanTime& time);

}  // namespace noonfall::gphoto
