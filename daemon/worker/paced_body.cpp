#include "daemon/worker/paced_body.h"

#include <algorithm>
#include <utility>

#include "daemon/posix/boot_time.h"

namespace noonfall::worker {
namespace {

using namespace std::chrono_literals;

constexpr Duration slice = 1s;  // a changed clock is noticed after so long

}  // namespace

PacedBody::PacedBody(sim::BodySetup setup, WorkerClock& clock, const StopSignal& stop,
                     std::function<void(const sim::RecordedFrame&)> on_picture, Draw draw)
    : body_{std::move(setup)},
      clock_{clock},
      stop_{stop},
      on_picture_{std::move(on_picture)},
      draw_{std::move(draw)} {}

rig::DeviceAnswer PacedBody::answer(const rig::DeviceCall& call, Utc /*now*/) {
  const auto first = body_.taken().size();
  auto answer = body_.answer(call, clock_.now());
  live_through_frames(first, answer);
  wait(answer.at);
  answer.at = std::min(answer.at, clock_.now());
  return answer;
}

rig::Care PacedBody::look_after(Utc now, Utc until) {
  return body_.look_after(now, until);
}

std::optional<std::string> PacedBody::preview(const std::string& file, Utc /*until*/) {
  if (!draw_) return std::nullopt;
  const auto& taken = body_.taken();
  const auto found = std::find_if(taken.rbegin(), taken.rend(), [&](const sim::RecordedFrame& frame) {
    return std::find(frame.files.begin(), frame.files.end(), file) != frame.files.end();
  });
  return found == taken.rend() ? std::nullopt : std::optional{draw_(*found)};
}

void PacedBody::live_through_frames(std::size_t first, rig::DeviceAnswer& answer) {
  const auto& taken = body_.taken();
  for (auto n = first; n < taken.size(); ++n) {
    if (n > first) wait(taken[n].opened);
    if (n > first && stop_.requested()) {
      answer.frames.resize(std::min(answer.frames.size(), n - first));
      return wait_through(taken[n - 1].closed);
    }
    on_picture_(taken[n]);
  }
  if (taken.size() > first) wait_through(taken.back().closed);
}

/// Until then, or a stop.
void PacedBody::wait(Utc until) {
  while (!stop_.requested() && clock_.now() < until) {
    wait_until(std::min(clock_.boot_at(until), posix::boot_now() + slice), {&stop_.bell()});
  }
}

void PacedBody::wait_through(Utc until) {
  while (clock_.now() < until) wait_until(std::min(clock_.boot_at(until), posix::boot_now() + slice), {});
}

}  // namespace noonfall::worker
