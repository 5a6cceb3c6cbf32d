// A whole log back into lines, told apart: the torn tail of a crash, which is normal, and damage, which
// isn't.
#pragma once

#include <string_view>
#include <vector>

#include "lib/base/diagnostic.h"
#include "lib/shotlog/line.h"

namespace noonfall::shotlog {

struct Replayed {
  std::vector<Line> lines;     // every whole, undamaged line, in order
  std::size_t sound_size = 0;  // bytes up to the end of the last one kept: cut the file here before appending
  bool torn_tail = false;      // something unfinished or damaged followed: a crash while writing
  Diagnostics damage;          // lines before the last that are damaged or out of sequence, by line number
};

/// Never fails; an empty text gives no lines.
[[nodiscard]] Replayed replay(std::string_view bytes);

}  // namespace noonfall::shotlog
