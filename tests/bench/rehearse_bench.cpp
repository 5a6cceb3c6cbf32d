// How long it takes to read, resolve and rehearse a plan of three hours, two rigs and 2,000 frames, and to
// rehearse the demo plan a thousand times. The bars are 0.1 s for the rehearsal, and for the thousand 30 s on
// two cores.
#include <cstdlib>
#include <iostream>
#include <sstream>

#include <benchmark/benchmark.h>

#include "daemon/cli/rehearse_odds.h"
#include "daemon/load/plan_loading.h"
#include "lib/plan/parse.h"
#include "sim/rehearse/rehearsal.h"
#include "tests/source_folder.h"

namespace {

using namespace noonfall;

load::LoadedPlan load(const char* path) {
  auto read = load::load_plan({path, {}, built_in_leap_seconds(), {}, timeline::Strictness::plan_check});
  if (!read.timeline) {
    std::cerr << to_text(read.findings);
    std::exit(1);
  }
  return read;
}

const load::LoadedPlan& loaded() {
  static const auto plan = load(NOONFALL_SOURCE "/tests/bench/two-thousand-frames.yaml");
  return plan;
}

void parse_plan(benchmark::State& state) {
  const auto& text = loaded().text;
  for (auto _ : state) benchmark::DoNotOptimize(plan::parse(text));
}

void build_timeline(benchmark::State& state) {
  const auto& plan = loaded();
  for (auto _ : state) {
    benchmark::DoNotOptimize(timeline::build(*plan.plan, *plan.circumstances, plan.profiles));
  }
}

void rehearse(benchmark::State& state) {
  sim::RehearsalSetup setup;
  setup.timeline = *loaded().timeline;
  std::size_t frames = 0;
  for (auto _ : state) {
    const auto rehearsed = sim::rehearse(setup);
    frames = 0;
    for (const auto& of_lane : rehearsed.taken) frames += of_lane.size();
  }
  state.counters["frames"] = static_cast<double>(frames);
}

void a_thousand_trials(benchmark::State& state) {
  const auto demo = load(NOONFALL_SOURCE "/plans/two-rigs-2027.yaml");
  for (auto _ : state) {
    std::ostringstream out;
    std::ostringstream err;
    cli::Context context{out, err, built_in_leap_seconds()};
    cli::rehearse_odds({.trials = 1000, .threads = 2}, *demo.timeline, {}, context);
    benchmark::DoNotOptimize(out.str());
  }
}

BENCHMARK(parse_plan)->Unit(benchmark::kMicrosecond);
BENCHMARK(build_timeline)->Unit(benchmark::kMillisecond);
BENCHMARK(rehearse)->Unit(benchmark::kMillisecond);
BENCHMARK(a_thousand_trials)->Unit(benchmark::kSecond)->Iterations(1)->UseRealTime();

}  // namespace
