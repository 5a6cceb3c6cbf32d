// What a shot log comes to, line by line: the one account that a later core, the status and the report go by.
#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <vector>

#include "lib/shotlog/line.h"

namespace noonfall::shotlog {

struct FrameAccount {
  std::size_t plan = 0;              // in force when it was first told of: which of the account's
  std::optional<Intent> asked;       // none: it never was
  std::optional<FrameOutcome> last;  // word on it; none: it may have been taken
  bool over = false;                 // its step had come to its end: nothing was missed
  [[nodiscard]] Utc due() const { return last ? last->due : asked->due; }
  [[nodiscard]] bool is(order::Outcome result) const { return last && last->result == result; }
};
using Frames = std::map<FrameName, FrameAccount>;

/// Some frames in order, to go through. (clang-tidy 14 can't read libstdc++'s std::ranges::subrange.)
struct FrameSpan {
  Frames::const_iterator first;
  Frames::const_iterator last;
  [[nodiscard]] Frames::const_iterator begin() const { return first; }
  [[nodiscard]] Frames::const_iterator end() const { return last; }
};

/// Frames by their last word.
struct Tally {
  int fired = 0;
  int failed = 0;
  int unknown = 0;
  int cancelled = 0;
  int skipped = 0;
  int open = 0;  // asked for, without a last word: the run goes on, or was cut off
  int over = 0;  // not taken because a back-to-back step had come to its end: nothing was missed

  void count(const FrameAccount& frame);
  void add(const Tally& other);
  /// All but those over.
  [[nodiscard]] int asked() const { return fired + failed + unknown + cancelled + skipped + open; }
  bool operator==(const Tally&) const = default;
};

/// A body was off the line, until a line said that it was ready or a frame was fired.
struct Away {
  Utc from;
  Utc until = Utc::max();
  std::string why;
  Utc told = {};  // when it was last said to be away, and how
  std::string words = {};
};

/// What the lines say of a rig's camera filter.
struct FilterAccount {
  std::optional<FilterState> state;  // none: no line tells
  bool confirmed = false;            // by a person
  bool untold = false;               // nothing was said in full or confirmed so far
  bool coming_off = false;           // words to take it off were begun, and nothing tells that they were over
  std::optional<Utc> late;           // it was called back on late then, and isn't on yet
};

struct LeftOut {
  Utc told;
  Skip skip;
};

struct Looked {
  Utc at;
  Look look;  // its proposal goes with any trim
};

struct RigAccount {
  bool heard_of = false;   // its body
  std::vector<Away> away;  // in turn
  bool held = false;       // by the operator
  double trim = 0;         // stops, likewise
  FilterAccount filter;
  std::map<std::string, LeftOut> left_out;  // steps, as a whole
  std::optional<Looked> looked;             // the newest

  [[nodiscard]] const Away* away_now() const {
    return away.empty() || away.back().until != Utc::max() ? nullptr : &away.back();
  }
};

struct Account {
  /// In their order.
  void take(const Line& line);

  /// In force; an empty one where its line was damaged and none came since.
  [[nodiscard]] Header plan() const { return plans.empty() ? Header{} : plans.back(); }
  [[nodiscard]] FrameSpan of(const std::string& rig) const;
  [[nodiscard]] FrameSpan of(const std::string& rig, const std::string& step) const;

  std::vector<Header> plans;  // in turn; without the first where its line was damaged
  std::int64_t last_seq = 0;
  std::int64_t last_order = 0;
  Utc last_utc;
  ClockState clock;  // of the last line
  std::optional<ClockStamp> stamp;
  std::optional<RunEnd> ended;
  std::map<std::string, RigAccount> rigs;
  Frames frames;
  std::vector<CueLine> cues;
  std::set<std::string> skipped;  // steps, by the operator
};

/// Of a log's lines.
[[nodiscard]] Account account_of(std::span<const Line> lines);

}  // namespace noonfall::shotlog
