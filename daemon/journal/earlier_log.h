// What the bytes of a shots.jsonl found at the start are worth: the lines to go on from, or why nobody may
// append to it.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "lib/base/result.h"
#include "lib/shotlog/line.h"

namespace noonfall::journal {

struct EarlierLog {
  std::vector<shotlog::Line> lines;
  std::size_t keep = 0;  // bytes; the file is cut there before anything is appended
  Diagnostics damage;    // that stays in the file, by line number
  std::string note;      // for the log: what was cut; empty for nothing
};

/// Errors ("not-a-shot-log", "shot-log-version"): another kind of file, or one of another version of the
/// format. A header torn by a crash is no error: nothing of such a log is kept.
[[nodiscard]] Result<EarlierLog> read_earlier_log(std::string_view bytes);

}  // namespace noonfall::journal
