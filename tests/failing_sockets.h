// Socket calls that a test makes fail, by the linker's --wrap: the code under test knows nothing of it.
#pragma once

namespace noonfall::tests {

/// While it lives, the call of this number fails once; calls of the thread that made it aren't counted.
class FailingSocketCall {
 public:
  explicit FailingSocketCall(int number);
  ~FailingSocketCall();
  FailingSocketCall(const FailingSocketCall&) = delete;
  FailingSocketCall& operator=(const FailingSocketCall&) = delete;

  /// Counted so far.
  [[nodiscard]] static int calls();
};

}  // namespace noonfall::tests
