// The keys of our terminal one by one, as they are pressed.
#pragma once

#include <optional>

#include <termios.h>

#include "daemon/posix/file_descriptor.h"

namespace noonfall::status {

/// While it lives, keys aren't echoed and don't wait for Enter, and of the keys that signal only Ctrl-C does.
/// Afterwards the terminal is as it was and no key typed meanwhile is left in it, also when this program was
/// killed: a small process of its own waits for that.
class KeyInput {
 public:
  /// Of the terminal that `fd` is. None where it is no terminal, or another program is in its foreground.
  [[nodiscard]] static std::optional<KeyInput> open(int fd);
  ~KeyInput();
  KeyInput(KeyInput&&) = default;
  KeyInput& operator=(KeyInput&&) = delete;

  /// To read keys from, without waiting; its mode is no one else's.
  [[nodiscard]] int descriptor() const { return keys_.get(); }

 private:
  KeyInput(posix::FileDescriptor keys, const termios& before) : keys_{std::move(keys)}, before_{before} {}
  [[nodiscard]] bool begin();
  void begin_watch(const termios& ours);

  posix::FileDescriptor keys_;
  termios before_;
  posix::FileDescriptor alive_;  // the other end sees it close, however this program ends
};

}  // namespace noonfall::status
