// A short run with one rig and a body that may do anything: each time something could go one way or another,
// a script says which way it goes.
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "lib/timeline/timeline.h"
#include "tests/stories/record.h"

namespace noonfall::explore {

/// Which way it goes, decision by decision; 0, the way it goes when nothing is wrong, where the script is
/// over.
class Choices {
 public:
  explicit Choices(std::vector<std::size_t> script) : script_{std::move(script)} {}

  /// One of `ways`.
  [[nodiscard]] std::size_t choose(std::size_t ways) {
    const auto at = ways_.size();
    ways_.push_back(ways);
    return at < script_.size() ? script_[at] : 0;
  }
  /// How many ways there were at each decision so far.
  [[nodiscard]] const std::vector<std::size_t>& ways() const { return ways_; }

 private:
  std::vector<std::size_t> script_;
  std::vector<std::size_t> ways_;
};

/// On the day itself, the filter's words spoken, from `starts` until the run is over.
[[nodiscard]] stories::Record tell(const timeline::Timeline& timeline, Utc starts, Choices& choices);

}  // namespace noonfall::explore
