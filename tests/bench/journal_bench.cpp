// What a line of the shot log costs the thread that shoots, with the disk being written behind it, beside a
// bare write() of as many bytes to a file that is synced as often.
#include <algorithm>
#include <chrono>
#include <thread>
#include <vector>

#include <fcntl.h>
#include <unistd.h>

#include <benchmark/benchmark.h>

#include "daemon/journal/shot_journal.h"
#include "daemon/posix/file_descriptor.h"
#include "lib/shotlog/codec.h"
#include "tests/program/run_program.h"
#include "tests/unit/shotlog/lines.h"

namespace {

using namespace noonfall;
using Clock = std::chrono::steady_clock;

const shotlog::Line intent = shotlog::one_of_each()[1];

void report(benchmark::State& state, std::vector<double>& spent_us) {
  std::sort(spent_us.begin(), spent_us.end());
  const auto at = [&](double part) {
    return spent_us[static_cast<std::size_t>(part * static_cast<double>(spent_us.size() - 1))];
  };
  state.counters["p50_us"] = at(0.5);
  state.counters["p99_us"] = at(0.99);
  state.counters["max_us"] = at(1);
}

template <class Work>
void measure(benchmark::State& state, const Work& work) {
  std::vector<double> spent_us;
  for (auto _ : state) {
    const auto begun = Clock::now();
    work();
    spent_us.push_back(std::chrono::duration<double, std::micro>(Clock::now() - begun).count());
  }
  report(state, spent_us);
}

void append_a_line(benchmark::State& state) {
  const tests::ScratchFolder scratch;
  const auto folder = journal::RunFolder::open(scratch.path("run"));
  auto opened = journal::ShotJournal::open(*folder, {std::chrono::milliseconds{state.range(0)}});
  measure(state, [&] { opened->journal->append(intent); });
}

void write_as_many_bytes(benchmark::State& state) {
  const tests::ScratchFolder scratch;
  const auto text = shotlog::encode(intent);
  const posix::FileDescriptor file{
      ::open(scratch.path("file").c_str(), O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC, 0600)};
  std::atomic<bool> ended = false;
  std::thread syncing{[&] {
    while (!ended) {
      std::this_thread::sleep_for(std::chrono::milliseconds{state.range(0)});
      ::fdatasync(file.get());
    }
  }};
  measure(state, [&] {
    if (::write(file.get(), text.data(), text.size()) < 0) state.SkipWithError("the disk is full");
  });
  ended = true;
  syncing.join();
}

}  // namespace

BENCHMARK(append_a_line)->Arg(250)->Arg(1)->Iterations(20'000);
BENCHMARK(write_as_many_bytes)->Arg(250)->Arg(1)->Iterations(20'000);
