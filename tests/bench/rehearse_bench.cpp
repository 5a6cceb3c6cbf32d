// How long it takes to read, resolve and rehearse a plan of three hours, two rigs and 2,000 frames. The bar
// is 0.1 s for the rehearsal.
#include <cstdlib>
#include <iostream>

#include <benchmark/benchmark.h>

#include "daemon/load/plan_loading.h"
#include "lib/plan/parse.h"
#include "sim/rehearse/rehearsal.h"
#include "tests/source_folder.h"

namespace {

using namespace noonfall;

const std::string path = NOONFALL_SOURCE "/tests/bench/two-thousand-frames.yaml";

const load::LoadedPlan& loaded() {
  static const auto plan = [] {
    auto read = load::load_plan({path, {}, built_in_leap_seconds(), {}, timeline::Strictness::plan_check});
    if (!read.timeline) {
      std::cerr << to_text(read.findings);
      std::exit(1);
    }
    return read;
  }();
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

BENCHMARK(parse_plan)->Unit(benchmark::kMicrosecond);
BENCHMARK(build_timeline)->Unit(benchmark::kMillisecond);
BENCHMARK(rehearse)->Unit(benchmark::kMillisecond);

}  // namespace
