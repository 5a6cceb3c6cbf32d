// Long use of a cabled body: memory, descriptors and counts over 10,000 frames and 200 unpluggings (the bars:
// cabled_bench.cpp). The library keeps an entry of each file it was told of, about 1 KB, as long as a body is
// open.
#include "tests/bench/cabled_rig.h"

namespace {

using namespace noonfall;
using namespace noonfall::bench;
using rig::Answer;

void ten_thousand_frames(benchmark::State& state) {
  Cable cable{families[state.range(0)]};
  state.SetLabel(families[state.range(0)]);
  const int frames = number_from("NOONFALL_BENCH_FRAMES", 10'000);
  (void)cable.set(quick);
  for (int n = 1; n <= 500; ++n) (void)cable.release(n);
  const auto resident = resident_kb();
  const auto files = open_files();
  int confirmed = 0;
  int fired = 0;
  for (auto _ : state) {
    for (int n = 501; n <= frames; ++n) {
      const auto answer = cable.release(n);
      fired += answer.answer == Answer::ok ? 1 : 0;
      confirmed += !answer.frames.empty() && !answer.frames[0].files.empty() ? 1 : 0;
    }
  }
  state.counters["fired"] = fired + 500;
  state.counters["with_file"] = confirmed;
  state.counters["taken"] = static_cast<double>(cable.body->taken().size());
  state.counters["rss_growth_kb"] = static_cast<double>(resident_kb() - resident);
  state.counters["fd_growth"] = static_cast<double>(open_files() - files);
}
BENCHMARK(ten_thousand_frames)->DenseRange(0, 2)->Iterations(1)->Unit(benchmark::kMillisecond);

void unplug_and_replug(benchmark::State& state) {
  Cable cable{families[state.range(0)]};
  state.SetLabel(families[state.range(0)]);
  const int cycles = number_from("NOONFALL_BENCH_REPLUGS", 200);
  int fired = 0;
  int failed = 0;
  std::optional<long> resident;
  long files = 0;
  std::vector<Duration> reopened;
  for (auto _ : state) {
    for (int n = 1; n <= cycles; ++n) {
      (void)cable.set(quick);
      fired += cable.release(n).answer == Answer::ok ? 1 : 0;
      cable.body.reset();
      for (int tries = 0; tries < 50; ++tries) {
        if (cable.camera->answer(rig::DrainCall{}, cable.clock.now()).answer == Answer::gone) break;
      }
      cable.body.emplace(cable.folder, families[state.range(0)], cable.profile);
      const auto began = posix::boot_now();
      auto answer = cable.camera->answer(rig::ReopenCall{}, cable.clock.now());
      for (int tries = 0; tries < 50 && answer.answer != Answer::ok; ++tries)
        answer = cable.camera->answer(rig::ReopenCall{}, cable.clock.now());
      failed += answer.answer == Answer::ok ? 0 : 1;
      reopened.push_back(posix::boot_now() - began);
      if (n == cycles / 10) {
        resident = resident_kb();
        files = open_files();
      }
    }
  }
  state.counters["fired"] = fired;
  state.counters["taken"] = static_cast<double>(cable.body->taken().size());
  state.counters["not_reopened"] = failed;
  state.counters["rss_growth_kb"] = static_cast<double>(resident_kb() - resident.value_or(0));
  state.counters["fd_growth"] = static_cast<double>(open_files() - files);
  give(state, "reopen", reopened);
}
BENCHMARK(unplug_and_replug)->DenseRange(0, 6)->Iterations(1)->Unit(benchmark::kMillisecond);

}  // namespace
