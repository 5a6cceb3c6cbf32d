// How a run stands at one instant, and that in a few lines that can be read at 3 a.m.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lib/contacts/contact.h"
#include "lib/shotlog/account.h"
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
  shotlog::Tally frames;
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

inline constexpr std::size_t status_width = 80;

/// At most 12 lines of at most `status_width` columns, without colour. Up to four rigs have two lines each,
/// up to eight one; of more, the rest is counted. The last line is the alarm's.
[[nodiscard]] std::vector<std::string> lines(const StatusFacts& facts);

/// "in 2 h 03 min", "in 3 min 24 s", "in 12 s", rounded up; "now" for nothing left.
[[nodiscard]] std::string countdown(Duration left);

/// "ON", "OFF", "UNKNOWN".
[[nodiscard]] std::string_view filter_word(shotlog::FilterState state);

/// How a mode is shown to a person: "DRESS REHEARSAL: keep the camera filter on".
[[nodiscard]] std::string mode_words(shotlog::Mode mode, double speed);

/// "clock A, within 3 ms"; at grade F "clock F: not verified, operator decides".
[[nodiscard]] std::string clock_words(const shotlog::ClockState& clock);

}  // namespace noonfall::status
