// The edge between our programs and whatever shows what they print: nothing foreign goes over it as it came.
#pragma once

#include <iosfwd>
#include <memory>

namespace noonfall::command_line {

/// While it lives, each line that `stream` is given comes out as plain_line has it, line by line and at each
/// flush. Nothing of ours may need a control character there: what draws on a terminal writes to it by
/// itself.
class PlainOutput {
 public:
  explicit PlainOutput(std::ostream& stream);
  ~PlainOutput();
  PlainOutput(const PlainOutput&) = delete;
  PlainOutput& operator=(const PlainOutput&) = delete;

 private:
  class Lines;
  std::ostream& stream_;
  std::unique_ptr<Lines> lines_;
};

}  // namespace noonfall::command_line
