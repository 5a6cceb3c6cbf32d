// The words between daemon and worker as lines of bytes, in and out.
#pragma once

#include <string>
#include <string_view>

#include "daemon/worker/words.h"
#include "lib/base/result.h"

namespace noonfall::worker {

/// One line with its '\n'. Words and file names that are no UTF-8 are mended, those over 2,000 bytes cut.
/// Only an order can come out longer than `longest_line`.
[[nodiscard]] std::string encode(const ToWorker& words);
[[nodiscard]] std::string encode(const FromWorker& words);

/// One line without its '\n'. Unknown members are passed over. The one error has no place; its code is
/// "unknown-say" for a "say" of a later version, "bad-line" for everything else.
[[nodiscard]] Result<ToWorker> decode_to_worker(std::string_view line);
[[nodiscard]] Result<FromWorker> decode_from_worker(std::string_view line);

}  // namespace noonfall::worker
