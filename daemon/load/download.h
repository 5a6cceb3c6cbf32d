// Public data fetched from the web: bounded, and gone on with where an earlier attempt stopped.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <string>

#include "lib/base/result.h"

namespace noonfall::load {

/// All that the address (http or https) gives. Errors ("download") say what went wrong there: nobody answers,
/// another status than success, more than `most_bytes`.
[[nodiscard]] Result<std::string> download_text(const std::string& address, std::size_t most_bytes);

/// Exactly `bytes` of it into the file; what lies there already is taken for its beginning. Errors as above,
/// and when it ends early: then what has come stays, for the next attempt; of one that goes on beyond
/// `bytes`, which is something else, nothing stays. `progress` is told how many are there.
[[nodiscard]] Result<void> download_file(const std::string& address, const std::string& path,
                                         std::uint64_t bytes,
                                         const std::function<void(std::uint64_t)>& progress);

}  // namespace noonfall::load
