// A whole log back into lines, told apart: the torn tail of a crash, which is normal, and damage, which
// isn't.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
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

/// Of remarks and commands that weren't carried out so many are kept, and beyond them those followed by
/// another kind of line: a log that was flooded with them needs no more room than another.
inline constexpr std::size_t most_talk = 10'000;
/// Of damaged lines so many are told.
inline constexpr std::size_t most_damage = 10'000;

/// Takes a log of any size in pieces of any size.
class Replayer {
 public:
  void take(std::string_view bytes);
  [[nodiscard]] Replayed finish();

 private:
  void take_line(std::string_view text);
  void keep(Line line);
  void tell_damage(Diagnostic damage);

  Replayed out_;
  std::string begun_;              // the line whose end hasn't come
  bool too_long_ = false;          // no line is: the rest of it isn't kept
  std::size_t at_ = 0;             // where the line begins
  std::optional<Diagnostic> bad_;  // the line before, unless it is the last
  int number_ = 0;
  std::int64_t expected_ = 1;
  std::size_t talk_ = 0;
  bool last_is_surplus_ = false;
};

/// All of it at once. Never fails; an empty text gives no lines.
[[nodiscard]] Replayed replay(std::string_view bytes);

}  // namespace noonfall::shotlog
