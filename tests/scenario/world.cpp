#include "tests/scenario/world.h"

#include <filesystem>

#include <fmt/format.h>

#include "lib/shotlog/replay.h"
#include "tests/source_folder.h"

namespace noonfall::scenario {

using namespace std::chrono_literals;
namespace live = event_loop::tests;

const std::string& default_plan() {
  static const auto text = tests::text_of_file(NOONFALL_SOURCE "/tests/scenario/default_plan.yaml");
  return text;
}

std::string fault_script(const Scenario& scenario) {
  if (scenario.effect.empty()) return {};
  const auto from = std::chrono::round<std::chrono::milliseconds>(scenario.begins).count();
  const auto lasts = std::chrono::round<std::chrono::milliseconds>(scenario.over - scenario.begins).count();
  const auto extent = lasts > 0 ? fmt::format("for: {} ms", lasts) : "count: 1";
  return fmt::format("noonfall_faults: 1\nfaults:\n  - {{rig: long, {}, from: C2 {} {} ms, {}}}\n",
                     scenario.effect, from < 0 ? '-' : '+', std::abs(from), extent);
}

World::World(const Scenario& scenario, live::DaySetup setup) : scenario_{scenario} {
  setup.faults = fault_script(scenario);
  setup.voice = true;
  setup.cycle_power = [this](std::size_t) {
    ++power_cycles;
    if (cable) cable->script->plugged = true;
  };
  if (scenario.bodies == Bodies::cabled) {
    setup.body = [this](std::size_t rig, const timeline::RigTimeline& plan,
                        const clock::ClockWatch& clock) -> live::MakeBody {
      if (rig != 0) return nullptr;
      cable = std::make_unique<Cable>(plan.profile, clock.now());
      return [this] { return cable->camera(); };
    };
  }
  day = std::make_unique<live::VirtualDay>(std::move(setup));
}

void World::until(Duration after_c2) {
  (void)day->until([&] { return day->now() >= c2() + after_c2; });
}

Day World::play() {
  day->start();
  for (const auto& act : scenario_.acts) {
    until(act.after_c2);
    act.what(*this);
  }
  (void)day->until([] { return false; });
  Day told{day->timeline, {}, {}};
  for (const auto* worker : day->workers) {
    auto& taken = told.taken.emplace_back();
    if (cable && told.taken.size() == 1) {
      taken = cable->taken;
    } else {
      for (const auto& frame : worker->taken()) taken.push_back({frame.id, frame.opened, frame.closed});
    }
  }
  day->live.reset();  // what waited for the disk is written once more
  told.lines = shotlog::replay(day->log()).lines;
  return told;
}

}  // namespace noonfall::scenario
