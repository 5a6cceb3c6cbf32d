#include "daemon/gphoto/open_shutter.h"

#include <array>
#include <chrono>
#include <thread>

namespace noonfall::gphoto {
namespace {

using namespace std::chrono_literals;

constexpr auto pause = 100ms;
constexpr int most_busy = 100;
constexpr int most_silent = 4;  // each takes as long as the port's own patience, 2 s and more
constexpr int most_refused = 10;
constexpr int most_refused_at_opening = 1;  // a closed shutter may be a reason to refuse

/// Counts the failures of each kind until there were too many of one.
class Patience {
 public:
  explicit Patience(int refusals) : left_{0, most_busy, refusals, 0, most_silent} {}
  [[nodiscard]] bool after(const DriverError& error) {
    return --left_[static_cast<std::size_t>(answer_of(error))] > 0;
  }

 private:
  std::array<int, 5> left_;  // by rig::Answer
};

Tried<void> tell_to_close(ReleasePath& path, Session& session, Patience patience, int& tries) {
  for (;;) {
    ++tries;
    auto closed = path.close_bulb(session);
    if (closed || !patience.after(closed.error())) return closed;
    std::this_thread::sleep_for(pause);
  }
}

}  // namespace

OpenShutter::~OpenShutter() {
  try {
    (void)close();
  } catch (...) {  // out of memory: whoever opens the body next tells it
    return;
  }
}

Tried<void> OpenShutter::close() {
  if (tries_ > 0) return {};
  return tell_to_close(path_, session_, Patience{most_refused}, tries_);
}

void close_left_open(ReleasePath& path, Session& session) {
  int tries = 0;
  if (path.has_bulb()) (void)tell_to_close(path, session, Patience{most_refused_at_opening}, tries);
}

}  // namespace noonfall::gphoto
