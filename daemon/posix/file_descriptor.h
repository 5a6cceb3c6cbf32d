// A descriptor that is closed once.
#pragma once

#include <unistd.h>

#include <utility>

namespace noonfall::posix {

class FileDescriptor {
 public:
  FileDescriptor() = default;
  explicit FileDescriptor(int descriptor) : descriptor_{descriptor} {}
  FileDescriptor(FileDescriptor&& other) noexcept : descriptor_{other.release()} {}
  FileDescriptor& operator=(FileDescriptor&& other) noexcept {
    FileDescriptor old{std::exchange(descriptor_, other.release())};
    return *this;
  }
  ~FileDescriptor() {
    if (descriptor_ >= 0) ::close(descriptor_);
  }

  [[nodiscard]] int get() const { return descriptor_; }
  [[nodiscard]] bool is_open() const { return descriptor_ >= 0; }
  explicit operator bool() const { return is_open(); }
  [[nodiscard]] int release() { return std::exchange(descriptor_, -1); }

 private:
  int descriptor_ = -1;
};

}  // namespace noonfall::posix
