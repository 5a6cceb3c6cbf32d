// Lines out of a stream of bytes, never holding more of it than one line may be long.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace noonfall::clock {

class LineAssembler {
 public:
  static constexpr std::size_t longest_line = 16 * 1024;
  static constexpr std::size_t most_at_once = 64 * 1024;

  /// The lines completed by `bytes` (at most most_at_once of them; what is beyond is not looked at), without
  /// their ends ("\n" or "\r\n"). A longer line is dropped whole.
  [[nodiscard]] std::vector<std::string> feed(std::string_view bytes);

  [[nodiscard]] std::size_t held() const { return line_.size(); }

 private:
  void take(std::string_view part);

  std::string line_;
  bool too_long_ = false;
};

}  // namespace noonfall::clock
