// How punctually a worker releases: the instant of the call as the body saw it, less the instant that lib/rig
// asked for, beside bare clock_nanosleep sleeps taken in turn with the frames. The bars: 99 % within three
// times the bare sleep's plus 0.5 ms on a quiet machine, within 10 ms while a disk is kept busy and eight
// clients idle on the worker's line.
#include <fcntl.h>
#include <sys/prctl.h>
#include <time.h>

#include <algorithm>
#include <atomic>
#include <charconv>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <thread>
#include <vector>

#include <fmt/format.h>

#include "daemon/posix/boot_time.h"
#include "daemon/posix/file_descriptor.h"
#include "daemon/posix/unix_socket.h"
#include "daemon/worker/worker_link.h"
#include "lib/body/profile_text.h"
#include "lib/rig/lag.h"

namespace {

using namespace noonfall;
using namespace noonfall::worker;
using namespace std::chrono_literals;

constexpr Duration spacing = 25ms;  // long enough for the worker to listen in between
constexpr Duration patience = 10s;
constexpr exposure::Exposure quick{{1, 8000}, std::nullopt, {100}};

/// Without jitter, so that the instant asked for can be told from outside; fast, so that frames come densely.
body::Profile bench_profile() {
  body::Profile profile;
  profile.name = "bench";
  profile.choices = {{quick.shutter}, {}, {quick.iso}};
  profile.setting_times = {1ms, 1ms, 1ms, 1ms};
  profile.release = {2ms, 0ms};
  profile.single = {{125us, 5ms}};
  profile.readout = 1ms;
  profile.buffer = {10'000};
  profile.write_rate = {10'000};
  profile.files = {{1}, {1}};
  profile.shutter_types = {body::ShutterType::electronic};
  profile.battery_frames = 1'000'000;
  profile.card = {1'000'000};
  return profile;
}

class TemporaryFolder {
 public:
  TemporaryFolder() {
    auto pattern = (std::filesystem::temp_directory_path() / "noonfall-bench-XXXXXX").string();
    if (mkdtemp(pattern.data()) == nullptr) throw std::runtime_error{"no temporary folder"};
    path_ = pattern;
  }
  ~TemporaryFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  [[nodiscard]] const std::string& path() const { return path_; }

 private:
  std::string path_;
};

/// Bare sleeps, each halfway between two frames.
class BareSleeper {
 public:
  BareSleeper(BootTime first, int count) : thread_{[this, first, count] { sleep(first, count); }} {}
  std::vector<Duration> late() {
    thread_.join();
    return std::move(late_);
  }

 private:
  void sleep(BootTime when, int count) {
    ::prctl(PR_SET_TIMERSLACK, 1UL, 0UL, 0UL, 0UL);
    for (; count > 0; --count, when += spacing) {
      const auto us = when.time_since_epoch().count();
      const timespec at{us / 1'000'000, us % 1'000'000 * 1000};
      ::clock_nanosleep(CLOCK_BOOTTIME, TIMER_ABSTIME, &at, nullptr);
      late_.push_back(posix::boot_now() - when);
    }
  }
  std::vector<Duration> late_;
  std::thread thread_;
};

/// Writes and syncs a file, over and over.
class DiskLoad {
 public:
  explicit DiskLoad(const std::string& folder) : thread_{[this, folder] { work(folder + "/load"); }} {}
  ~DiskLoad() {
    stop_ = true;
    thread_.join();
  }
  DiskLoad(const DiskLoad&) = delete;
  DiskLoad& operator=(const DiskLoad&) = delete;

 private:
  void work(const std::string& path) {
    const posix::FileDescriptor file{::open(path.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC, 0600)};
    const std::vector<char> block(1U << 20U, 'x');
    for (int n = 0; !stop_; ++n) {
      const auto written = ::pwrite(file.get(), block.data(), block.size(), n % 64 * (1 << 20));
      if (written < 0 || ::fdatasync(file.get()) != 0) return;
    }
  }
  std::atomic<bool> stop_ = false;
  std::thread thread_;
};

/// One order a frame, two held at a time, as the core does it.
class Shoot {
 public:
  Shoot(const std::string& folder, int count) : count_{count}, profile_{bench_profile()} {
    std::ofstream{folder + "/bench.yaml"} << body::to_text(profile_);
    WorkerSetup setup;
    setup.executable = NOONFALL_CAMERA;
    setup.folder = folder;
    setup.profile = folder + "/bench.yaml";
    setup.body = simulated_identity(profile_, {});
    link_.emplace(
        loop_, setup,
        LinkCallbacks{[this](const run::Input& input) { take(input); },
                      [this](const std::string& note) { notes.push_back(note); }, [] { return true; }});
  }

  /// How late each release was, and each bare sleep.
  std::pair<std::vector<Duration>, std::vector<Duration>> run() {
    link_->set_clock(clock_);
    link_->start();
    run_until([&] { return attached_; });
    first_ = clock_.utc_at(posix::boot_now()) + 300ms;
    BareSleeper bare{clock_.boot_at(first_) - spacing / 2, count_};
    give();
    give();
    run_until([&] { return done_ == count_; });
    bool ended = false;
    link_->shut_down([&] { ended = true; });
    run_until([&] { return ended; });
    return {std::move(late_), bare.late()};
  }

  std::vector<std::string> notes;

 private:
  template <class Predicate>
  void run_until(Predicate holds) {
    const auto give_up = posix::boot_now() + patience + count_ * spacing;
    while (!holds()) {
      if (posix::boot_now() > give_up) throw std::runtime_error{"the worker doesn't go on"};
      loop_.run_one_for(100ms);
    }
  }
  [[nodiscard]] Utc due(std::int64_t order) const { return first_ + (order - 1) * spacing; }

  void give() {
    if (given_ == count_) return;
    const auto id = ++given_;
    order::Order order;
    order.id = id;
    order.prepare_from = first_ - 300ms;
    order.earliest = due(id);
    order.frames = {{{0, 0, static_cast<std::int32_t>(id), 1}, quick, due(id), due(id) + 1h}};
    link_->send(std::move(order));
  }

  void take(const run::Input& input) {
    attached_ = attached_ || std::holds_alternative<run::Attached>(input);
    const auto* report = std::get_if<order::Report>(&input);
    if (report == nullptr) return;
    if (const auto* frame = std::get_if<order::FrameDone>(report)) {
      late_.push_back(frame->released - (due(frame->order) - lag_.least()));
      lag_.saw(frame->opened - frame->released);
    }
    if (std::holds_alternative<order::OrderDone>(*report)) {
      ++done_;
      give();
    }
  }

  int count_;
  body::Profile profile_;
  boost::asio::io_context loop_;
  ClockMapping clock_{posix::boot_now(), std::chrono::sys_days{std::chrono::year{2027} / 8 / 2} + 12h};
  std::optional<WorkerLink> link_;
  rig::Lag lag_{profile_.release};
  Utc first_;
  bool attached_ = false;
  int given_ = 0;
  int done_ = 0;
  std::vector<Duration> late_;
};

double at_share_ms(std::vector<Duration>& sorted, double share) {
  std::sort(sorted.begin(), sorted.end());
  return in_milliseconds(sorted[static_cast<std::size_t>(share * static_cast<double>(sorted.size() - 1))]);
}

void print(const char* what, std::vector<Duration>& late) {
  fmt::print("  {:<24} {:>7} {:>9.3f} {:>9.3f} {:>9.3f} {:>9.3f}\n", what, late.size(), at_share_ms(late, 0),
             at_share_ms(late, 0.5), at_share_ms(late, 0.99), at_share_ms(late, 1));
}

void measure(const char* title, int frames, bool loaded) {
  const TemporaryFolder folder;
  Shoot shoot{folder.path(), frames};
  std::optional<DiskLoad> load;
  std::vector<posix::FileDescriptor> idle;
  if (loaded) load.emplace(folder.path());
  std::thread clients{[&] {
    for (int n = 0; loaded && n < 8; ++n) {
      std::this_thread::sleep_for(50ms);
      idle.push_back(posix::connect_in(folder.path(), socket_name(0)));
    }
  }};
  auto [released, bare] = shoot.run();
  clients.join();
  fmt::print("{}\n  {:<24} {:>7} {:>9} {:>9} {:>9} {:>9}\n", title, "late, in ms", "count", "least", "p50",
             "p99", "max");
  print("release", released);
  print("bare clock_nanosleep", bare);
  const double bar = loaded ? 10 : 3 * at_share_ms(bare, 0.99) + 0.5;
  fmt::print("  p99 over its bar of {:.3f} ms: {:.3f}\n", bar, at_share_ms(released, 0.99) / bar);
  if (loaded) return;
  for (const auto& note : shoot.notes) fmt::print("  {}\n", note);
}

/// Google Benchmark's options are taken and passed over, but a very short time asked for means few frames.
int frames_wanted(int argc, char** argv) {
  constexpr std::string_view option = "--benchmark_min_time=";
  for (int n = 1; n < argc; ++n) {
    const std::string_view word{argv[n]};
    if (!word.starts_with(option)) continue;
    double seconds = 1;
    std::from_chars(word.data() + option.size(), word.data() + word.size(), seconds);
    if (seconds < 0.1) return 40;
  }
  return 2000;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    const int frames = frames_wanted(argc, argv);
    measure("releases, quiet", frames, false);
    measure("releases, a disk kept busy and eight idle clients", frames, true);
    return 0;
  } catch (const std::exception& error) {
    std::cerr << "bench_release: " << error.what() << '\n';
    return 1;
  }
}
