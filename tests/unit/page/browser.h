// Clients of the page's server that send what they like, byte by byte.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "daemon/posix/file_descriptor.h"

namespace noonfall::page::tests {

/// One connection to a port of 127.0.0.1.
class Browser {
 public:
  explicit Browser(std::uint16_t port);

  /// What the system takes; false once the server has cut the line.
  bool send(std::string_view bytes);
  /// Everything until the server ends the line.
  [[nodiscard]] std::string rest();
  /// Waits for it; the bytes up to its end, or all there were before the line ended.
  [[nodiscard]] std::string until(std::string_view words);
  /// It takes as little as a system can be told to.
  void take_little();

 private:
  bool more();

  posix::FileDescriptor socket_;
  std::string got_;
};

/// A request of our page's, with further header lines.
[[nodiscard]] std::string request(std::string_view first_line, std::uint16_t port, std::string_view more = {},
                                  std::string_view body = {});

/// The three digits of an answer, or what came instead.
[[nodiscard]] std::string code_of(const std::string& answer);

}  // namespace noonfall::page::tests
