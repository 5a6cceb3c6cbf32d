// How a run stands at one instant: what the terminal view shows.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lib/contacts/contact.h"
#include "lib/shotlog/line.h"
#include "lib/time/utc.h"

namespace noonfall::status {

enum class BodyState { by_hand, starting, ready, held, away };

struct RigStatus {
  std::string rig;
  BodyState body = BodyState::starting;
  std::string why;                             // it is away; else empty
  std::optional<shotlog::FilterState> filter;  // none: the rig has no filter
  bool filter_confirmed = false;               // by a person
  std::string step;                            // going on; empty for none
  bool back_to_back = false;                   // so is its pace
  std::string hands;                           // hands-on step going on; empty for none
  std::string next_step;                       // of the next frame
  std::optional<Utc> next_due;                 // that frame's instant
  int planned = 0;                             // frames; back to back, by the profile
  int fired = 0;
  int failed = 0;
  int skipped = 0;  // and cancelled
  int unknown = 0;
};

struct NextContact {
  contacts::ContactName name = contacts::ContactName::c1;
  Utc utc;
};

struct Alarm {
  Utc at;
  std::string words;
};

struct StatusFacts {
  Utc now;
  std::string local_clock;  // "10:41:12", a fraction isn't shown; empty for UTC alone
  std::string zone;
  std::string title;
  shotlog::Mode mode = shotlog::Mode::event;
  double speed = 1;
  shotlog::ClockState clock;
  std::string clock_source;  // "chronyd"; may be empty
  std::optional<NextContact> next_contact;
  std::vector<RigStatus> rigs;
  std::optional<Alarm> alarm;  // the latest
};

}  // namespace noonfall::status
