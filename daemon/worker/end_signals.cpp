#include "daemon/worker/end_signals.h"

#include <signal.h>
#include <sys/signalfd.h>

namespace noonfall::worker {

posix::FileDescriptor take_end_signals() {
  ::signal(SIGPIPE, SIG_IGN);
  ::signal(SIGHUP, SIG_IGN);
  ::signal(SIGXFSZ, SIG_IGN);  // a limit on files is a full disk, not an end
  sigset_t ends;
  sigemptyset(&ends);
  sigaddset(&ends, SIGTERM);
  sigaddset(&ends, SIGINT);
  ::pthread_sigmask(SIG_BLOCK, &ends, nullptr);
  return posix::FileDescriptor{::signalfd(-1, &ends, SFD_NONBLOCK | SFD_CLOEXEC)};
}

}  // namespace noonfall::worker
