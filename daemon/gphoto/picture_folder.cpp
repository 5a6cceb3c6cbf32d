#include "daemon/gphoto/picture_folder.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <sys/statvfs.h>

#include <algorithm>
#include <cctype>
#include <cerrno>
#include <filesystem>
#include <utility>

#include <fmt/format.h>

#include "daemon/posix/error_words.h"
#include "daemon/posix/file_calls.h"

namespace noonfall::gphoto {
namespace {

constexpr std::size_t longest_name = 64;

/// Names of a device are anybody's.
std::string harmless(std::string_view name) {
  std::string out{name.substr(0, longest_name)};
  std::ranges::replace_if(
      out, [](unsigned char c) { return std::isalnum(c) == 0 && c != '.' && c != '-' && c != '_'; }, '_');
  return out;
}

/// What the process lacks, a disk that is full for one, isn't mended by another name.
posix::FileDescriptor create(int folder, const std::string& name) {
  return posix::FileDescriptor{
      ::openat(folder, name.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0600)};
}

}  // namespace

RunPictures::RunPictures(std::string path) : path_{std::move(path)}, thread_{[this] { bring_down(); }} {}

RunPictures::~RunPictures() {
  {
    const std::lock_guard lock{mutex_};
    ending_ = true;
  }
  changed_.notify_one();
  thread_.join();
}

std::string RunPictures::make_folder() {
  if (folder_) return {};
  if (::mkdir(path_.c_str(), 0700) != 0 && errno != EEXIST) return posix::error_words();
  folder_ = posix::FileDescriptor{::open(path_.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)};
  return folder_ ? std::string{} : posix::error_words();
}

tl::expected<std::string, std::string> RunPictures::keep(std::string_view name, std::string_view bytes) {
  if (auto why = make_folder(); !why.empty()) return tl::unexpected{std::move(why)};
  std::string numbered;
  posix::FileDescriptor file;
  do {
    numbered = fmt::format("{:05}-{}", ++kept_, harmless(name));
    file = create(folder_.get(), numbered);
  } while (!file && errno == EEXIST);
  if (!file) return tl::unexpected{posix::error_words()};
  std::size_t written = 0;
  const auto calls = posix::system_file_calls();
  if (const int error = posix::write_all(calls, file.get(), bytes.data(), bytes.size(), written); error != 0)
    return tl::unexpected{posix::error_words(error)};
  {
    const std::lock_guard lock{mutex_};
    written_.push_back(std::move(file));
  }
  changed_.notify_one();
  return std::filesystem::path{path_}.filename().string() + "/" + numbered;
}

std::uint64_t RunPictures::free_bytes() const {
  struct statvfs disk {};
  const auto place = std::filesystem::path{path_}.parent_path();
  if (::statvfs(place.c_str(), &disk) != 0) return 0;
  return static_cast<std::uint64_t>(disk.f_bavail) * disk.f_frsize;
}

std::string RunPictures::take_trouble() {
  const std::lock_guard lock{mutex_};
  return std::exchange(trouble_, {});
}

void RunPictures::bring_down() {
  std::unique_lock lock{mutex_};
  for (;;) {
    changed_.wait(lock, [&] { return ending_ || !written_.empty(); });
    if (written_.empty()) return;
    const auto file = std::move(written_.front());
    written_.pop_front();
    lock.unlock();
    const bool down = ::fsync(file.get()) == 0 && ::fsync(folder_.get()) == 0;
    const auto why = down ? std::string{} : posix::error_words();
    lock.lock();
    if (!down) trouble_ = why;
  }
}

}  // namespace noonfall::gphoto
