// What goes into a step of the run and what comes out.
#pragma once

#include <algorithm>
#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "lib/look/sun_seen.h"
#include "lib/order/order.h"
#include "lib/shotlog/line.h"
#include "lib/time/utc.h"

namespace noonfall::run {

/// What the operator asks for.
struct Request {
  shotlog::Command command;
  std::string refused = {};  // why somebody else than the core can't do it, if so
};

/// The clock is trusted differently from here on.
struct ClockChange {
  shotlog::ClockState state;
  std::string why;
  std::optional<shotlog::ClockStamp> stamp =
      std::nullopt;  // when it goes by another boot-time offset, or a new one
};

/// Something of the surroundings that the log should keep.
struct Remark {
  std::string words;
};

/// An operator's words that are no command.
struct Misheard {
  std::string words;
  std::string why;
};

/// A worker came on the line, again or anew. Orders sent to the rig before and not among `held` are lost:
/// nobody will report on them.
struct Attached {
  std::int32_t rig = 0;
  std::vector<order::HeldOrder> held;
  std::int64_t last_order = 0;  // the highest number it ever took
};

/// This core is about to be ended in mid-run: what only it could say later is said now.
struct Leaving {};

/// The voice has these words ready.
struct Rendered {
  std::string words;
  Duration lasts{};
};

/// Words given to the voice are over; `why_not` is empty when they were played to their end.
struct Voiced {
  std::string words;
  Utc ends;  // as it was told
  std::string why_not;
};

/// Nothing can be played any more; what is rendered from now on can be.
struct VoiceLost {
  std::string why;
};

/// A small picture of this frame came.
struct PictureSeen {
  order::FrameId frame;
  Utc opened;
  exposure::Exposure exposure;
  look::SunSeen seen;
};

using Input = std::variant<order::Report, Request, ClockChange, Attached, Remark, Misheard, Leaving, Rendered,
                           Voiced, VoiceLost, PictureSeen>;

struct ToOneRig {
  std::int32_t rig = 0;
  order::ToRig message;
};

/// To be spoken so that they end at `ends`; the step that returns them comes early enough for that.
struct Announcement {
  std::string text;
  Utc ends;
  Utc expires;          // not to be spoken where they would end later
  bool spoken = false;  // by the voice; otherwise shown
  bool first = false;   // before and over any others: a camera filter's
};

struct Output {
  std::vector<ToOneRig> to_rigs;
  std::vector<shotlog::Line> lines;  // to be on their way to the disk before the orders leave
  std::vector<Announcement> announcements;
  std::vector<std::string> replies;  // to each request: why it isn't carried out; empty when it is
  std::vector<Utc> next_due;  // by rig: no further order begins before then; the end of time: none will
  std::optional<Utc> wake;    // step again then, or at the next input
  bool filters_on = false;    // every camera filter, and nothing is being said that would change it
  bool finished = false;      // nothing is left to do

  void wake_at(Utc when) { wake = std::min(wake.value_or(when), when); }
};

}  // namespace noonfall::run
