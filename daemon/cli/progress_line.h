// Progress to people who wait: one line that is written over on a terminal, else a line each new part.
#pragma once

#include <iosfwd>
#include <string>

namespace noonfall::cli {

class ProgressLine {
 public:
  explicit ProgressLine(std::ostream& err);
  void show(const std::string& part, int done, int of, const char* things);
  void end();

 private:
  std::ostream& err_;
  bool terminal_;
  std::string part_;
};

}  // namespace noonfall::cli
