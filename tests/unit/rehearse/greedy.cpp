#include "tests/unit/rehearse/greedy.h"

#include <algorithm>
#include <chrono>

#include "lib/body/model.h"

namespace noonfall::sim {
namespace {

using namespace std::chrono_literals;

/// Asks until the body does it; the answer that wasn't busy.
rig::DeviceAnswer ask(SimulatedBody& body, const rig::DeviceCall& call, Utc now, Utc give_up) {
  auto answer = body.answer(call, now);
  while (answer.answer == rig::Answer::busy && answer.at < give_up) answer = body.answer(call, answer.at);
  return answer;
}

}  // namespace

int greedy_sets(const timeline::RigStep& step, SimulatedBody body) {
  auto now = step.from - step.lead;
  for (int sets = 0;; ++sets) {
    const auto& shape = step.shapes[static_cast<std::size_t>(sets) % step.shapes.size()];
    for (std::size_t n = 0; n < shape.exposures.size(); ++n) {
      now = ask(body, rig::SettingsCall{shape.exposures[n], step.drive}, now, step.until).at;
      now = std::max(now, step.from);
      const order::FrameId id{0, 0, sets + 1, static_cast<std::int32_t>(n) + 1};
      const auto answer = ask(body, rig::ReleaseCall{{id}, step.until}, now, step.until);
      now = answer.at;
      if (answer.frames.empty() || answer.frames.back().closed > step.until) return sets;
    }
  }
}

}  // namespace noonfall::sim
