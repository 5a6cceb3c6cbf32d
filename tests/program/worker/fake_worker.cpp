// A worker that misbehaves, started by a link in place of noonfall-camera: `--simulate` says how.
#include <poll.h>
#include <signal.h>
#include <sys/socket.h>

#include <array>
#include <filesystem>
#include <fstream>
#include <string>

#include <unistd.h>

#include "daemon/posix/boot_time.h"
#include "daemon/posix/file_descriptor.h"
#include "daemon/posix/unix_socket.h"
#include "daemon/worker/codec.h"

extern char** environ;

using namespace noonfall;
using namespace noonfall::worker;

namespace {

/// What a process can see of how it was started.
void describe_myself(const std::string& folder) {
  std::ofstream out{folder + "/description.part"};
  for (char** variable = environ; *variable != nullptr; ++variable) out << *variable << '\n';
  out << "leads its session: " << (::getsid(0) == ::getpid()) << '\n';
  // The folder's own descriptor is one of them while it is read.
  for (const auto& entry : std::filesystem::directory_iterator{"/proc/self/fd"}) {
    std::error_code gone;
    const auto target = std::filesystem::read_symlink(entry.path(), gone);
    if (!gone && target.string().find("description.part") == std::string::npos &&
        target.string().find("/proc/") == std::string::npos) {
      out << "open: " << target.filename().string() << '\n';
    }
  }
  out.close();
  std::filesystem::rename(folder + "/description.part", folder + "/description");
}

std::string words_of(const std::string& manner) {
  WorkerHello hello;
  hello.pid = ::getpid();
  hello.body = {"fake", "hash", "serial"};
  const auto good_hello = encode(FromWorker{hello});
  if (manner == "garbage") return good_hello + "\x01\x02 nonsense\n";
  if (manner == "too long") return good_hello + std::string(1'000'000, 'x');
  if (manner == "half line") return good_hello + "{\"say\":\"al";
  if (manner == "old version") return "{\"say\":\"hello\",\"version\":0}\n";
  if (manner == "unknown words") return good_hello + "{\"say\":\"sing\"}\n";
  if (manner == "overdue") {
    const auto past = posix::boot_now() - std::chrono::seconds{100};
    return good_hello + encode(FromWorker{Alive{Alive::Call{"release", past, past}}});
  }
  return good_hello;
}

/// Shorter than any worker has for its last frame, and many times what one without a frame has.
int sleep_through_signals(const std::string& folder) {
  ::signal(SIGTERM, SIG_IGN);
  std::ofstream{folder + "/asleep"} << ::getpid();
  ::sleep(8);
  std::ofstream{folder + "/awake"} << ::getpid();
  ::sleep(60);
  return 0;
}

void wait_for_quit(int socket) {
  std::string heard;
  std::array<char, 4096> block{};
  while (heard.find("\"quit\"") == std::string::npos) {
    const auto got = ::read(socket, block.data(), block.size());
    if (got <= 0) return;
    heard.append(block.data(), static_cast<std::size_t>(got));
  }
}

}  // namespace

/// `--socket-dir FOLDER --rig 0 --simulate MANNER …`
int main(int argc, char** argv) {
  if (argc < 7) return 2;
  const std::string folder = argv[2];
  const std::string manner = argv[6];
  if (manner == "dies") return 7;
  if (manner == "never there") return sleep_through_signals(folder);
  describe_myself(folder);
  const auto listening = posix::listen_in(folder, socket_name(0));
  if (!listening) return 3;
  pollfd polled{listening->get(), POLLIN, 0};
  ::poll(&polled, 1, -1);
  const posix::FileDescriptor daemon{::accept(listening->get(), nullptr, nullptr)};
  const auto words = words_of(manner);
  (void)!::write(daemon.get(), words.data(), words.size());
  if (manner == "half line") return 0;
  wait_for_quit(daemon.get());
}
