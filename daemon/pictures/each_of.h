// Pieces of work shared out among threads.
#pragma once

#include <cstddef>
#include <functional>

#include "lib/base/result.h"

namespace noonfall::pictures {

/// Does each of `count` pieces of work once, with so many threads; what goes wrong first ends it. `progress`
/// is called on this thread with how many are done.
[[nodiscard]] Result<void> each_of(std::size_t count, unsigned threads,
                                   const std::function<Result<void>(std::size_t)>& piece,
                                   const std::function<void(int)>& progress);

}  // namespace noonfall::pictures
