// The last things that happened, those that are alike in one line.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "daemon/status/event_lines.h"

namespace noonfall::status {

class RecentEvents {
 public:
  void take(Event event);
  /// The oldest lines beyond `most`, taken off: nothing is counted in them any more.
  [[nodiscard]] std::vector<std::string> take_beyond(std::size_t most);
  /// The oldest first.
  [[nodiscard]] std::vector<std::string> lines() const;

 private:
  struct Counted {
    Event last;
    int times = 1;
  };
  std::vector<Counted> events_;
};

}  // namespace noonfall::status
