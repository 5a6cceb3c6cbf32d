// A story: a plan, what the operator says, what breaks, and what the plan is amended to, all from one number.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <variant>
#include <vector>

#include "lib/run/header.h"
#include "lib/timeline/timeline.h"
#include "sim/body/fault.h"

namespace noonfall::stories {

/// A plan in force, from a start of the core on.
struct Chapter {
  std::string name;
  timeline::Timeline timeline;
  run::Facts facts;
};

struct Said {  // by the operator, as typed
  std::string words;
};
struct Stall {  // the core isn't stepped for so long; what comes meanwhile waits
  Duration lasts{};
};
/// The core is killed; later another goes on from its log, with this chapter.
struct KillCore {
  Duration away{};
  bool before_sending = false;  // its last lines are written, its last orders and words aren't out
  std::size_t chapter = 0;
};
/// The core is told to end: it goes once every filter is on, or is killed after a while.
struct EndCore {
  Duration away{};
  std::size_t chapter = 0;
};
struct KillWorker {  // what its rig knew is gone; the body goes on with what it was told
  std::size_t rig = 0;
  Duration away{};
};
/// The clock is graded anew and, where a jump is allowed, put on or back.
struct Graded {
  shotlog::ClockState state;
  Duration jump{};
};

struct Event {
  Utc at;  // of true time, which the plan's clock shows at first
  std::variant<Said, Stall, KillCore, EndCore, KillWorker, Graded> what;
};

struct Story {
  std::uint64_t seed = 0;
  std::vector<std::string> plans;  // the texts, for whoever looks into a failure
  std::vector<Chapter> chapters;
  shotlog::ClockState clock;
  Utc starts;
  double detune = 1;                                      // of every body
  std::map<std::string, std::vector<sim::Fault>> faults;  // by rig
  std::vector<Event> events;                              // by time
};

[[nodiscard]] Story story_of(std::uint64_t seed);

[[nodiscard]] std::string to_text(const Event& event, Utc starts);

}  // namespace noonfall::stories
