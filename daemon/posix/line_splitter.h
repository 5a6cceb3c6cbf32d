// Bytes as they come off a socket, as lines of bounded length.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace noonfall::posix {

/// Once a line was too long it stays so, and no further line comes.
class LineSplitter {
 public:
  /// `longest` counts the line end.
  explicit LineSplitter(std::size_t longest) : longest_{longest} {}

  void add(std::string_view bytes);
  /// The next whole line without its '\n'; none until more bytes come.
  [[nodiscard]] std::optional<std::string> next();

  [[nodiscard]] bool too_long() const { return too_long_; }
  /// Bytes of a line whose end hasn't come.
  [[nodiscard]] std::size_t half_line() const { return too_long_ ? 0 : bytes_.size() - from_; }

 private:
  std::size_t longest_;
  std::string bytes_;
  std::size_t from_ = 0;     // where the next line begins
  std::size_t scanned_ = 0;  // no line end before this
  bool too_long_ = false;
};

}  // namespace noonfall::posix
