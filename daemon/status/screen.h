// The facts on a terminal of 80 columns and 24 rows, to be read at arm's length in the dark.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "daemon/status/facts.h"

namespace noonfall::status {

enum class Tone { ordinary, strong, urgent };

struct Row {
  std::string text;  // without control characters
  Tone tone = Tone::ordinary;
  bool operator==(const Row&) const = default;
};

struct TerminalSize {
  std::size_t columns = 80;
  std::size_t rows = 24;
  bool operator==(const TerminalSize&) const = default;
};

/// What the person at the keys sees beside the facts.
struct KeyWords {
  std::string line;                    // the last row
  bool asks = false;                   // it wants an answer
  std::size_t rig = 0;                 // that keys are about
  std::vector<std::string> help = {};  // shown instead of events; empty: not asked for
};

/// At most 23 rows, one less than the terminal's: the cursor's stays free; and a column, because a full last
/// one wraps on some terminals. What is needed first comes first: where there is little room, first the large
/// digits go, then events, then the lanes of the last rigs.
[[nodiscard]] std::vector<Row> screen(const StatusFacts& facts, const std::vector<std::string>& events,
                                      const KeyWords& keys, TerminalSize size);

/// How many events such a screen has room for.
[[nodiscard]] std::size_t event_rows(const StatusFacts& facts, TerminalSize size);

}  // namespace noonfall::status
