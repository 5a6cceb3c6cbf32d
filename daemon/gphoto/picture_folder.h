// The folder for pictures that a body leaves to us instead of to its card.
#pragma once

#include <condition_variable>
#include <cstdint>
#include <deque>
#include <mutex>
#include <string>
#include <string_view>
#include <thread>

#include <tl/expected.hpp>

#include "daemon/posix/file_descriptor.h"

namespace noonfall::gphoto {

/// Kept ones bear a name that nothing else in the folder has.
class PictureFolder {
 public:
  virtual ~PictureFolder() = default;
  /// Written when this returns, and on the disk soon after; the file's name in the folder, or why it isn't
  /// kept.
  [[nodiscard]] virtual tl::expected<std::string, std::string> keep(std::string_view name,
                                                                    std::string_view bytes) = 0;
  [[nodiscard]] virtual std::uint64_t free_bytes() const = 0;
  /// Why a kept one may not be on the disk; told once.
  [[nodiscard]] virtual std::string take_trouble() { return {}; }
};

/// Made with its first picture. Brings pictures to the disk on a thread of its own.
class RunPictures final : public PictureFolder {
 public:
  explicit RunPictures(std::string path);
  /// Brings down what is left first.
  ~RunPictures() override;
  RunPictures(const RunPictures&) = delete;
  RunPictures& operator=(const RunPictures&) = delete;

  [[nodiscard]] tl::expected<std::string, std::string> keep(std::string_view name,
                                                            std::string_view bytes) override;
  [[nodiscard]] std::uint64_t free_bytes() const override;
  [[nodiscard]] std::string take_trouble() override;

 private:
  [[nodiscard]] std::string make_folder();
  void bring_down();

  const std::string path_;
  posix::FileDescriptor folder_;
  std::uint64_t kept_ = 0;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<posix::FileDescriptor> written_;
  std::string trouble_;
  bool ending_ = false;
  std::thread thread_;  // last: it uses all of the above
};

}  // namespace noonfall::gphoto
