// Who holds a device: read from the kernel's own /proc (proc(5)), with files in the place of devices.
#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <filesystem>
#include <string>

#include <doctest/doctest.h>

#include "daemon/cameras/device_holders.h"
#include "tests/program/run_program.h"

using namespace noonfall::cameras;
using noonfall::tests::ScratchFolder;

namespace {

/// A process that holds a file open until it is told to end.
class OpenFile {
 public:
  explicit OpenFile(const std::string& path) {
    int ready[2];
    REQUIRE(::pipe(ready) == 0);
    pid_ = ::fork();
    if (pid_ == 0) {
      if (::open(path.c_str(), O_RDONLY) >= 0) (void)!::write(ready[1], "!", 1);
      ::pause();
      ::_exit(0);
    }
    char word = 0;
    REQUIRE(::read(ready[0], &word, 1) == 1);
    ::close(ready[0]);
    ::close(ready[1]);
  }
  ~OpenFile() {
    ::kill(pid_, SIGKILL);
    ::waitpid(pid_, nullptr, 0);
  }
  OpenFile(const OpenFile&) = delete;
  OpenFile& operator=(const OpenFile&) = delete;
  [[nodiscard]] int pid() const { return pid_; }

 private:
  pid_t pid_ = 0;
};

}  // namespace

TEST_CASE("a port of the camera library is the kernel's device file") {
  // usb(7): /dev/bus/usb/BBB/DDD.
  CHECK(device_file("usb:001,005") == "/dev/bus/usb/001/005");
  for (const auto* other :
       {"usb:", "usb:001", "usb:001,", "usb:../..,1", "ptpip:127.0.0.1:15740", "", "none"})
    CHECK(device_file(other) == std::nullopt);
}

TEST_CASE("the program that has a device open is named with its process") {
  const ScratchFolder folder;
  const auto device = folder.file("005", "");
  CHECK(holders_of(device).empty());
  const OpenFile holder{device};
  const auto found = holders_of(device);
  REQUIRE(found.size() == 1);
  CHECK(found.front().pid == holder.pid());
  CHECK(found.front().name == "test_cameras");
  CHECK(holders_of(folder.path("006")).empty());
}

TEST_CASE("a long name is told whole") {
  // As proc(5) lays it out: fd/N is a link, cmdline ends its words with NUL.
  const ScratchFolder proc;
  std::filesystem::create_directories(proc.path("4711/fd"));
  std::filesystem::create_symlink("/dev/bus/usb/001/005", proc.path("4711/fd/9"));
  (void)proc.file("4711/cmdline", std::string{"/usr/libexec/gvfs-gphoto2-volume-monitor\0--spy\0", 48});
  std::filesystem::create_directories(proc.path("self/fd"));
  CHECK(holders_of("/dev/bus/usb/001/005", proc.path("")) ==
        std::vector<Holder>{{4711, "gvfs-gphoto2-volume-monitor"}});
}

TEST_CASE("each holder has its cure") {
  CHECK(cure({{1, "gvfs-gphoto2-volume-monitor"}})
            .find("systemctl --user mask --now gvfs-gphoto2-volume-monitor") != std::string::npos);
  CHECK(cure({{1, "gvfsd-gphoto2"}}) == cure({{1, "gvfs-gphoto2-volume-monitor"}}));
  CHECK(cure({{1, "viewer"}}) == "that program ended, or its camera closed");
  CHECK(cure({}) == "the program that holds it, ended; only the superuser sees those of other users");
}
