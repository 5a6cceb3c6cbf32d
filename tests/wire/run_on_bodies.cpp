#include "tests/wire/run_on_bodies.h"

#include <signal.h>

#include <algorithm>
#include <chrono>
#include <thread>

#include <fmt/format.h>

#include "lib/shotlog/replay.h"
#include "tests/wire/bodies.h"

namespace noonfall::tests {
namespace {

using namespace std::chrono_literals;

std::string rig_name(std::size_t rig) {
  return fmt::format("rig{}", rig + 1);
}

/// An invented field under the eclipse of 2020-12-14.
std::string plan_of(const std::vector<std::string>& serials, const std::string& files,
                    const std::string& from, const std::string& to) {
  std::string rigs;
  std::string steps;
  for (std::size_t n = 0; n < serials.size(); ++n) {
    rigs += fmt::format(R"(  {0}:
    body: {{serial: "{1}", profile: mirrorless-20}}
    person: someone at {0}
    lens: {{focal_length: 600 mm}}
    mount: tracking
    exposure: {{aperture: f/8, iso: 400}}
    files: {2}
    filter: {{density: 5.0}}
)",
                        rig_name(n), serials[n], files);
    steps += fmt::format(R"(  - name: corona {0}
    rig: {1}
    subject: corona 0.1 to 2
    from: C2 + 1 s
    until: C2 + 60 s
    every: back to back
    bracket: {{from: {2}, to: {3}, by: 1 stop}}
)",
                         n + 1, rig_name(n), from, to);
  }
  return "noonfall: 1\ntitle: Dress rehearsal\neclipse: 2020-12-14\n"
         "site: {latitude: -39.5, longitude: -70.5, elevation: 900 m}\nrigs:\n" +
         rigs + "steps:\n" + steps;
}

}  // namespace

RunOnBodies::RunOnBodies(const std::vector<std::string>& serials, const std::string& files,
                         const std::string& from, const std::string& to) {
  daemon_.start({scratch_.file("plan.yaml", plan_of(serials, files, from, to)), "--move", "C2=+20s"});
}

bool RunOnBodies::comes_to_fire(std::size_t rig, std::size_t frames) const {
  const auto until = std::chrono::steady_clock::now() + 2 * patience;
  while (fired(rig).size() < frames) {
    if (std::chrono::steady_clock::now() > until) return false;
    std::this_thread::sleep_for(50ms);
  }
  return true;
}

std::vector<shotlog::FrameOutcome> RunOnBodies::fired(std::size_t rig) const {
  std::vector<shotlog::FrameOutcome> found;
  for (const auto& line : shotlog::replay(daemon_.log()).lines) {
    const auto* outcome = std::get_if<shotlog::FrameOutcome>(&line.entry);
    const bool ours = outcome != nullptr && outcome->frame.rig == rig_name(rig);
    if (ours && outcome->result == order::Outcome::fired) found.push_back(*outcome);
  }
  return found;
}

std::string RunOnBodies::faults(std::size_t rig) const {
  std::string words;
  for (const auto& line : shotlog::replay(daemon_.log()).lines) {
    const auto* fault = std::get_if<shotlog::BodyNews>(&line.entry);
    if (fault != nullptr && fault->rig == rig_name(rig)) words += fault->why + "\n";
  }
  return words;
}

int RunOnBodies::stop() {
  daemon_.kill(SIGINT);
  return daemon_.wait(2 * patience).value_or(-1);
}

}  // namespace noonfall::tests
