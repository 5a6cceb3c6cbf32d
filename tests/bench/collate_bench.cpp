// How long 10,000 photographs take to be put in their places, from files on a warm disk. The bar is 20 s on
// two cores; what counts against it is the ratio to reading the same files' Exif alone, bare of ours, on one
// core.
#include <filesystem>
#include <fstream>
#include <thread>

#include <benchmark/benchmark.h>

#include "daemon/pictures/photograph.h"
#include "daemon/pictures/read_photo.h"
#include "lib/collate/collate.h"
#include "lib/time/utc_text.h"
#include "tests/bench/peak_memory.h"
#include "tests/program/run_program.h"

namespace {

using namespace noonfall;
using namespace std::chrono_literals;

constexpr int frames = 10'000;

/// A day of one body: sets of seven, a frame every 0.7 s, a third of them in bursts of eight a second.
collate::Logged log_of_day() {
  collate::Logged log;
  auto at = *parse_utc("2027-08-02T07:41:03.1Z");
  for (int n = 0; n < frames; ++n) {
    const bool burst = n / 500 % 3 == 1;
    at += burst ? 125ms + n % 7 * 1ms : 700ms + n % 11 * 13ms;
    const exposure::Exposure light{
        burst ? exposure::Shutter{1, 2000} : exposure::Shutter{1, 1 << (n % 7 + 1)},
        exposure::FNumber{80},
        {400}};
    log.shots.push_back(
        {{"long", burst ? "beads" : "corona", n / 7 + 1, n % 7 + 1}, {}, at, at, true, light, {}});
  }
  return log;
}

/// 3 % of the frames lost, 2 % taken by hand, the clock an hour wrong; in a folder that goes with the
/// program.
const std::vector<std::string>& card() {
  static const tests::ScratchFolder folder;
  static const auto files = [] {
    std::vector<std::string> made;
    const auto grey = pictures::to_jpeg(std::vector<std::uint8_t>(64 * 64 * 3, 99), 64, 64);
    const auto log = log_of_day();
    for (int n = 0; n < frames; ++n) {
      const auto& shot = log.shots[static_cast<std::size_t>(n)];
      pictures::ExifFacts facts;
      facts.model = "mirrorless";
      facts.serial = "1";
      facts.clock = shot.opened - 3'617'300ms;
      if (n % 33 == 0) facts.clock += 311ms + n % 97 * 1s;
      facts.subsec_digits = 2;
      facts.exposure = shot.exposure;
      facts.width = facts.height = 64;
      made.push_back(
          folder.file(std::to_string(n * 7919 % frames) + ".jpg", pictures::with_exif(grey, facts)));
    }
    return made;
  }();
  return files;
}

/// The first `count` of a day.
std::vector<std::string> files_of(std::int64_t count) {
  return {card().begin(), card().begin() + count};
}

collate::Logged log_of(std::int64_t count) {
  auto log = log_of_day();
  log.shots.resize(static_cast<std::size_t>(count));
  return log;
}

void collate_photos(benchmark::State& state) {
  const auto files = files_of(state.range(0));
  const auto log = log_of(state.range(0));
  int matched = 0;
  const bench::PeakMemory peak;
  for (auto _ : state) {
    auto photos = pictures::read_photos(files, std::thread::hardware_concurrency(), [](int) {});
    matched = collate::collate(log, std::move(photos)).count(collate::Status::matched);
  }
  state.counters["peak_mb"] = peak.megabytes();
  state.counters["photos"] = static_cast<double>(files.size());
  state.counters["matched"] = matched;
}

void match_alone(benchmark::State& state) {
  const auto photos =
      pictures::read_photos(files_of(state.range(0)), std::thread::hardware_concurrency(), [](int) {});
  const auto log = log_of(state.range(0));
  for (auto _ : state) benchmark::DoNotOptimize(collate::collate(log, photos));
  state.counters["photos"] = static_cast<double>(photos.size());
}

void read_bare(benchmark::State& state) {
  for (auto _ : state) {
    for (const auto& file : card()) benchmark::DoNotOptimize(pictures::read_photo(file));
  }
}

BENCHMARK(collate_photos)
    ->RangeMultiplier(10)
    ->Range(10, frames)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();
BENCHMARK(match_alone)->RangeMultiplier(10)->Range(10, frames)->Unit(benchmark::kMillisecond);
BENCHMARK(read_bare)->Unit(benchmark::kMillisecond);

}  // namespace
