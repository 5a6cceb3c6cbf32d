// How long it takes to read, resolve and rehearse a plan of three hours, two rigs and 2,000 frames, to check
// one of 10,000, to draft and check one, and to rehearse the demo plan a thousand times. The bars are 0.1 s
// for the rehearsal, 0.5 s for the large check, 0.3 s for draft and check, and for the thousand 30 s on two
// cores.
#include <cstdlib>
#include <iostream>
#include <sstream>
#include <utility>

#include <benchmark/benchmark.h>
#include <CLI/CLI.hpp>

#include "daemon/cli/commands.h"
#include "daemon/cli/rehearse_odds.h"
#include "daemon/load/plan_loading.h"
#include "lib/plan/parse.h"
#include "lib/timeline/print.h"
#include "sim/rehearse/rehearsal.h"
#include "tests/bench/peak_memory.h"
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

void rehearse(benchmark::State& state, const timeline::Timeline& timeline) {
  sim::RehearsalSetup setup;
  setup.timeline = timeline;
  std::size_t frames = 0;
  const bench::PeakMemory peak;
  for (auto _ : state) {
    const auto rehearsed = sim::rehearse(setup);
    frames = 0;
    for (const auto& of_lane : rehearsed.taken) frames += of_lane.size();
  }
  state.counters["peak_mb"] = peak.megabytes();
  state.counters["frames"] = static_cast<double>(frames);
}

void rehearse_two_thousand(benchmark::State& state) {
  rehearse(state, *loaded().timeline);
}

/// Rigs with a person each: no card and no battery is too small. Without `corona_from`, the Sun's disk alone.
std::string plan_of(std::int64_t rigs, double every_s, const std::string& corona_from) {
  std::string text =
      "noonfall: 1\ntitle: Made for the benchmark\neclipse: 2027-08-02\n"
      "site: {latitude: 36.0139, longitude: -5.6033, elevation: 12 m}\nrigs:\n";
  for (std::int64_t n = 1; n <= rigs; ++n) {
    const auto number = std::to_string(n);
    text += "  rig " + number +
            ": {body: {simulate: mirrorless-20}, lens: {focal_length: 600 mm}, mount: tracking, person: P" +
            number + ", exposure: {aperture: f/8, iso: 200}, filter: {density: 5.0}}\n";
  }
  text +=
      "steps:\n  - {name: in, rigs: all, subject: photosphere, from: C1 + 10 s, until: C2 - 2 min, every: " +
      std::to_string(every_s) + " s, bracket: {frames: 3, by: 1 stop}}\n";
  if (!corona_from.empty())
    text += "  - {name: corona, rigs: all, subject: corona 0.1 to 4, from: " + corona_from +
            ", until: C3 - 12 s, every: back to back}\n";
  return text + "  - {name: out, mirror: in}\n";
}

int predicted_frames(const timeline::Timeline& timeline) {
  int frames = 0;
  for (const auto& rig : timeline.rigs) frames += rig.predicted_frames();
  return frames;
}

/// As `noonfall check` does it, less writing to a terminal.
timeline::Timeline check(const std::string& text) {
  load::PlanSource source{"made", {}, built_in_leap_seconds(), {}};
  source.text = text;
  auto read = load::load_plan(source);
  if (!read.timeline) {
    std::cerr << to_text(read.findings);
    std::exit(1);
  }
  benchmark::DoNotOptimize(timeline::to_text(*read.timeline));
  return std::move(*read.timeline);
}

void check(benchmark::State& state, const std::string& text) {
  int frames = 0;
  const bench::PeakMemory peak;
  for (auto _ : state) frames = predicted_frames(check(text));
  state.counters["peak_mb"] = peak.megabytes();
  state.counters["frames"] = frames;
}

void check_ten_thousand_frames(benchmark::State& state) {
  check(state, plan_of(7, 18, "C2 + 6 s"));
}

/// Seven rigs that take a set every so many seconds.
void check_frames(benchmark::State& state) {
  check(state, plan_of(7, static_cast<double>(state.range(0)), ""));
}

/// Up to eight: the filters come off one after the other, and a ninth's would come off too late for the
/// corona.
void check_rigs(benchmark::State& state) {
  check(state, plan_of(state.range(0), 60, "C2 + 6 s"));
  state.counters["rigs"] = static_cast<double>(state.range(0));
}

void rehearse_rigs(benchmark::State& state) {
  rehearse(state, check(plan_of(state.range(0), 60, "C2 + 6 s")));
  state.counters["rigs"] = static_cast<double>(state.range(0));
}

void draft_and_check(benchmark::State& state) {
  for (auto _ : state) {
    std::ostringstream out;
    std::ostringstream err;
    cli::Context context{out, err, built_in_leap_seconds()};
    CLI::App app;
    cli::add_draft_command(app, context);
    app.parse(
        "draft 2027-08-02 --at 36.0139,-5.6033,12 --body mirrorless-20 --focal 600mm --aperture f/8 --filter "
        "5.0 "
        "--sensor 35.9x23.9mm --pixel 5.9um");
    benchmark::DoNotOptimize(check(out.str()));
  }
}

void trials(benchmark::State& state) {
  const auto demo = load(NOONFALL_SOURCE "/plans/two-rigs-2027.yaml");
  const auto count = static_cast<int>(state.range(0));
  const bench::PeakMemory peak;
  for (auto _ : state) {
    std::ostringstream out;
    std::ostringstream err;
    cli::Context context{out, err, built_in_leap_seconds()};
    cli::rehearse_odds({.trials = count, .threads = 2}, *demo.timeline, {}, context);
    benchmark::DoNotOptimize(out.str());
  }
  state.counters["peak_mb"] = peak.megabytes();
  state.counters["trials"] = count;
}

BENCHMARK(parse_plan)->Unit(benchmark::kMicrosecond);
BENCHMARK(build_timeline)->Unit(benchmark::kMillisecond);
BENCHMARK(rehearse_two_thousand)->Unit(benchmark::kMillisecond);
BENCHMARK(check_ten_thousand_frames)->Unit(benchmark::kMillisecond);
BENCHMARK(check_frames)->ArgsProduct({{1800, 600, 180, 60, 18, 6}})->Unit(benchmark::kMillisecond);
BENCHMARK(check_rigs)->RangeMultiplier(2)->Range(1, 8)->Unit(benchmark::kMillisecond);
BENCHMARK(rehearse_rigs)->RangeMultiplier(2)->Range(1, 8)->Unit(benchmark::kMillisecond);
BENCHMARK(draft_and_check)->Unit(benchmark::kMillisecond);
BENCHMARK(trials)->RangeMultiplier(10)->Range(1, 100)->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK(trials)->Arg(1000)->Iterations(1)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
