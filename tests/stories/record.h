// What really happened in a story, for whoever judges it: the bodies' shutters, the words that were said, the
// log, and the plans in force, each with the true time.
#pragma once

#include <cstdint>
#include <string>
#include <variant>
#include <vector>

#include "lib/order/order.h"
#include "lib/shotlog/line.h"
#include "lib/timeline/timeline.h"

namespace noonfall::stories {

/// A picture on a body's card. Instants of the plan's clock as it went when the release was called.
struct Shot {
  shotlog::FrameName name;  // as ordered
  std::int64_t order = 0;
  exposure::SubjectKind subject = exposure::SubjectKind::photosphere;
  bool filtered = true;  // its step counts on the camera filter
  bool has_filter = true;
  Utc released_true;
  Utc released;
  Utc opened;
  Utc closed;
  bool held_up = false;  // its body stood still after the release: nobody could call it back
};

struct Began {  // a core, with this plan
  const timeline::Timeline* timeline = nullptr;
  shotlog::Mode mode = shotlog::Mode::event;
};
struct Ended {};       // it was killed
struct Stalled {};     // from here on it isn't stepped
struct WentOn {};      // until here
struct ClockMoved {};  // or graded anew
struct Stepped {
  std::vector<shotlog::Line> lines;
  std::vector<std::string> words;  // handed to the voice
  std::vector<Utc> words_end;      // by the plan's clock
  bool leaving = false;            // it had been told to end or to stop
  bool finished = false;
};

struct Moment {
  Utc at;     // true time
  Utc now;    // the plan's clock, which never goes back
  Utc reads;  // what it would read if it could: behind `now` it stands still
  std::variant<Began, Ended, Stalled, WentOn, ClockMoved, Stepped, Shot> what;
};

struct Record {
  std::vector<Moment> moments;  // in order
  std::vector<shotlog::Line> lines;
  std::string log;
  bool finished = false;
  std::string broke_off;  // why the story couldn't be told to its end
};

}  // namespace noonfall::stories
