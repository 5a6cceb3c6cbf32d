// What a report tells beyond its tables: how totality was used, what was sampled of it and how well, what the
// cards should hold, and everything that happened in turn.
#pragma once

#include <array>
#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "lib/exposure/exposure.h"
#include "lib/ladder/ladder.h"
#include "lib/shotlog/account.h"
#include "lib/time/utc.h"

namespace noonfall::report {

/// How a rig spent the time from C2 to C3: a shutter was open, or the body did what it does between two
/// frames that follow each other at once. The rest could have had frames.
struct TotalityUse {
  std::string rig;
  Duration lasts{};  // as far as the log tells
  Duration in_all{};
  Duration used{};
  Duration own_pause{};  // half of the pauses within its sets are shorter, from a closing to the next opening
  int frames = 0;        // that were open within
  bool operator==(const TotalityUse&) const = default;

  [[nodiscard]] double per_cent() const {
    return lasts > Duration{} ? 100 * in_seconds(used) / in_seconds(lasts) : 0;
  }
};

/// Fired frames with an instant of their own, by how far from it the shutter opened.
struct Lateness {
  static constexpr std::array<double, 8> up_to_ms{5, 10, 20, 50, 100, 200, 500, 1000};
  std::array<int, up_to_ms.size() + 1> frames{};  // the last: more than the last bound
  int early = 0;                                  // of them opened before their instant
  bool operator==(const Lateness&) const = default;
};

/// A row of the published exposure table, and how many unfiltered frames were exposed within a stop of it.
struct Sampled {
  std::string rig;
  std::string subject;
  double brightness = 0;  // Q of t = N^2 / (ISO * 2^Q)
  int frames = 0;
  bool operator==(const Sampled&) const = default;
};

/// Of all frames of the corona's ladders together, per pixel.
struct Worth {
  std::string rig;
  std::vector<ladder::Signal> planned;
  std::vector<ladder::Signal> reached;  // at the same heights
  bool operator==(const Worth&) const = default;
};

/// What a rig's card should hold, so that nobody formats it too early.
struct CardContent {
  std::string rig;
  int frames = 0;                    // that were shot
  int uncertain = 0;                 // asked for, and nothing tells what became of them
  std::map<std::string, int> files;  // by their endings, as the body named them
  std::string first;                 // the names of the first and the last
  std::string last;
  std::vector<exposure::Exposure>
      darks;  // unfiltered exposures of an eighth of a second and longer, long to short
  std::vector<exposure::Exposure>
      flats;  // f-numbers and ISO values of unfiltered frames; the shutter is nothing
  bool operator==(const CardContent&) const = default;
};

/// How far the clock was trusted over a while.
struct ClockSpan {
  Utc from;
  Utc until;
  shotlog::ClockGrade grade = shotlog::ClockGrade::f;
  Duration widest{};  // bound
  bool operator==(const ClockSpan&) const = default;
};

enum class Fate { shot, missed, unknown };

/// A frame where a picture of the run shows it.
struct Mark {
  std::string rig;
  Utc from;
  Utc until;
  Fate fate = Fate::shot;
  bool filtered = true;
  bool operator==(const Mark&) const = default;
};

struct Detail {
  std::vector<TotalityUse> totality;  // of rigs that shot in it
  Lateness lateness;
  std::vector<Sampled> sampled;  // bright to faint, of rigs with unfiltered frames
  std::vector<Worth> worth;      // of rigs whose header tells the light
  std::vector<CardContent> cards;
  std::vector<ClockSpan> clock;
  std::vector<Mark> marks;           // by time
  std::vector<shotlog::Line> story;  // every line that tells of no single frame, by time
};

/// Of the plan in force, with what was shot of earlier ones; what comes after `told_until` isn't known yet.
[[nodiscard]] Detail detail_of(const shotlog::Header& plan, const shotlog::Account& account, Utc told_until);

}  // namespace noonfall::report
