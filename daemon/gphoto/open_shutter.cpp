#include "daemon/gphoto/open_shutter.h"

#include <array>
#include <chrono>

namespace noonfall::gphoto {
namespace {

using namespace std::chrono_literals;

constexpr Duration pause = 100ms;
constexpr int most_busy = 100;
constexpr int most_silent = 4;  // each takes as long as the port's own patience, 2 s and more
constexpr int most_refused = 10;
constexpr int most_refused_at_opening = 1;  // a closed shutter may be a reason to refuse

/// Counts the failures of each kind until there were too many of one.
class Patience {
 public:
  explicit Patience(int refusals) : left_{0, most_busy, refusals, 0, most_silent} {}
  [[nodiscard]] bool after(rig::Answer answer) { return --left_[static_cast<std::size_t>(answer)] > 0; }

 private:
  std::array<int, 5> left_;  // by rig::Answer
};

Tried<void> tell_to_close(Family& family, Session& session, PlanTime& time, Patience patience, int& tries) {
  for (;;) {
    ++tries;
    auto closed = family.close_bulb(session);
    if (closed || !patience.after(family.answer_of(closed.error()))) return closed;
    time.sleep(pause);
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
  return tell_to_close(family_, session_, time_, Patience{most_refused}, tries_);
}

void close_left_open(Family& family, Session& session, PlanTime& time) {
  int tries = 0;
  if (family.has_bulb()) (void)tell_to_close(family, session, time, Patience{most_refused_at_opening}, tries);
}

}  // namespace noonfall::gphoto
