// What our side of a camera's cable costs, with libgphoto2 and its drivers as they are and a body process
// that has no time of its own. The bars: from the release call to the body's shutter operation p50 <= 0.2 ms
// and p99
// <= 1 ms; <= 0.2 ms of our own a setting, beyond the library's calls for it; complete sets >= 95 % of a
// greedy driver's on the same body, 0.7 and 1.3 times as fast as its profile says; a worker armed again <= 1
// s after its start, the body's own opening aside; 10,000 frames and 200 unpluggings without a leak or a lost
// count.
//
// On a talkative body (3 ms a transaction, 40 news a frame, 250 at opening): complete sets >= 95 % in
// families a, b and sony at 0.7, 1 and 1.3 times the profile's pace; release p99 <= 3 ms plus the body's own
// transactions.
//
// NOONFALL_BENCH_SECONDS (default 120): how long each pair of drivers shoots; NOONFALL_BENCH_FRAMES (10,000);
// NOONFALL_BENCH_REPLUGS (200).
#include <poll.h>
#include <sys/socket.h>

#include <optional>

#include <benchmark/benchmark.h>

#include "daemon/gphoto/library.h"
#include "daemon/worker/codec.h"
#include "lib/body/model.h"
#include "lib/body/shipped.h"
#include "lib/rig/rig.h"
#include "tests/bench/cabled_rig.h"
#include "tests/unit/rehearse/greedy.h"

namespace {

using namespace noonfall;
using namespace noonfall::bench;
using rig::Answer;

/// It takes time for a frame, as it couldn't tell so much of one otherwise.
body::Profile slow_body() {
  auto profile = instant_body();
  profile.single = {{125us, 400ms}};
  return profile;
}

/// The body stamps a release when it arrives; both processes read the same clock. Range 1: a talkative body.
void release_to_shutter(benchmark::State& state) {
  const bool talks = state.range(1) != 0;
  Cable cable{families[state.range(0)], talks ? slow_body() : instant_body(), 1,
              talks ? Line::talkative() : Line{}};
  state.SetLabel(std::string{families[state.range(0)]} + (talks ? ", talkative" : ""));
  std::vector<Utc> called;
  for (auto _ : state) {
    (void)cable.set(quick);
    for (int n = 1; n <= (talks ? 100 : 1000); ++n) {
      const auto answer = cable.release(n);
      if (answer.answer == Answer::ok) called.push_back(answer.released);
    }
  }
  const auto taken = cable.body->taken();
  std::vector<Duration> spans;
  for (const auto& frame : taken) {  // each of the last call before: one that came too early took none
    const auto after = std::ranges::upper_bound(called, frame.released);
    if (after != called.begin()) spans.push_back(frame.released - *(after - 1));
  }
  state.counters["frames"] = static_cast<double>(taken.size());
  give(state, "release", spans);
}
BENCHMARK(release_to_shutter)
    ->ArgsProduct({{0, 1, 2, 3}, {0}})
    ->ArgsProduct({{0, 1, 3}, {1}})
    ->Iterations(1)
    ->Unit(benchmark::kMillisecond);

constexpr int told_by_news = 1;  // family b: its driver shows what it was told, the body says when it is so

/// The library's own calls for a setting, and nothing else: old news, the setting, the news of it, its value.
void bare_setting(gphoto::Session& session, const std::string& label, bool by_news) {
  while (by_news && session.news(0)->kind != gphoto::News::Kind::nothing) {
  }
  (void)session.set("iso", label);
  while (by_news && session.news(1)->text.find("\"iso\" to ") == std::string::npos) {
  }
  for (int tries = 0; tries < 100; ++tries) {
    const auto control = session.control("iso");
    if (control && control->label == label) return;
    (void)session.news(0);
  }
}

/// Beside the library's own calls for the same.
void setting_cost(benchmark::State& state) {
  const char* family = families[state.range(0)];
  state.SetLabel(family);
  constexpr int times = 500;
  std::vector<Duration> ours;
  std::vector<Duration> bare;
  for (auto _ : state) {
    {
      Cable cable{family};
      (void)cable.set(quick);
      for (int n = 0; n < times; ++n) {
        auto exposure = quick;
        exposure.iso = {n % 2 == 0 ? 200 : 100};
        const auto began = posix::boot_now();
        (void)cable.set(exposure);
        ours.push_back(posix::boot_now() - began);
      }
    }
    const Folder folder;
    const Plugged body{folder, family, instant_body()};
    const auto library = gphoto::camera_library();
    auto found = gphoto::find_body(*library, "3012345");
    if (!found) return state.SkipWithError(found.error().why.c_str());
    (void)found->session->control("iso");
    for (int n = 0; n < times; ++n) {
      const auto began = posix::boot_now();
      bare_setting(*found->session, n % 2 == 0 ? "200" : "100", state.range(0) == told_by_news);
      bare.push_back(posix::boot_now() - began);
    }
  }
  give(state, "ours", ours);
  give(state, "library", bare);
  state.counters["own_p50_ms"] = spread_ms(ours).p50 - spread_ms(bare).p50;
}
BENCHMARK(setting_cost)->DenseRange(0, 2)->Iterations(1)->Unit(benchmark::kMillisecond);

timeline::RigStep corona_step(Utc from, Duration lasts) {
  timeline::RigStep step;
  timeline::SetShape shape;
  for (const exposure::Shutter shutter : {exposure::Shutter{1, 250}, {1, 15}, {1, 2}})
    shape.exposures.push_back({shutter, exposure::FNumber{80}, {100}});
  shape.offsets.assign(shape.exposures.size(), Duration{});
  step.from = from;
  step.until = from + lasts;
  step.lead = 1s;
  step.back_to_back = true;
  step.shapes = {shape};
  return step;
}

/// The whole step as orders of one set each, two held at a time, as the core gives them.
int sets_by_rig(Cable& cable, const timeline::RigStep& step) {
  rig::Rig rig{0, cable.profile};
  std::vector<rig::Input> inputs;
  const auto& exposures = step.shapes.front().exposures;
  std::int64_t given = 0;
  int whole = 0;
  std::size_t fired = 0;
  const auto give = [&] {
    order::Order order;
    order.id = ++given;
    order.prepare_from = step.from - step.lead;
    order.earliest = step.from;
    for (std::size_t n = 0; n < exposures.size(); ++n) {
      const auto latest =
          step.until - body::open_time(exposures[n].shutter) - body::most_release_lag(cable.profile);
      order.frames.push_back({{0, 0, static_cast<std::int32_t>(given), static_cast<std::int32_t>(n) + 1},
                              exposures[n],
                              step.from,
                              latest});
    }
    inputs.emplace_back(order::ToRig{std::move(order)});
  };
  give();
  give();
  while (cable.clock.now() < step.until + 3s) {
    auto out = rig.step(cable.clock.now(), inputs);
    inputs.clear();
    for (const auto& report : out.reports) {
      if (const auto* frame = std::get_if<order::FrameDone>(&report)) {
        if (frame->outcome == order::Outcome::fired) ++fired;
      }
      if (std::holds_alternative<order::OrderDone>(report)) {
        whole += fired == exposures.size() ? 1 : 0;
        fired = 0;
        if (cable.clock.now() < step.until) give();
      }
    }
    if (out.call) {
      inputs.emplace_back(cable.camera->answer(*out.call, cable.clock.now()));
    } else if (inputs.empty()) {
      const auto wake = std::min(out.wake.value_or(step.until + 3s), step.until + 3s);
      std::this_thread::sleep_for(std::min<Duration>(wake - cable.clock.now(), 50ms));
    }
  }
  return whole;
}

/// As the body recorded them: each of the step's exposures in turn.
int sets_taken(const Cable& cable, const timeline::RigStep& step) {
  const auto& exposures = step.shapes.front().exposures;
  std::size_t next = 0;
  int whole = 0;
  for (const auto& frame : cable.body->taken()) {
    if (frame.exposure != exposures[next]) next = 0;
    if (frame.exposure == exposures[next] && ++next == exposures.size()) {
      ++whole;
      next = 0;
    }
  }
  return whole;
}

/// Range 2: a body that says nothing more than it has to, a talkative one, one that takes times at once
/// besides (libgphoto2 2.5.30 sleeps 200 ms with each time that a Sony body steps to). The yardstick knows
/// the body from inside and has no cable: it asks again the moment it is answered.
void sets_against_greedy(benchmark::State& state) {
  const char* family = families[state.range(0)];
  const double detune = static_cast<double>(state.range(1)) / 10;
  const auto profile = *body::find_shipped("mirrorless-20");
  const auto lasts = std::chrono::seconds{number_from("NOONFALL_BENCH_SECONDS", 120)};
  const bool talks = state.range(2) != 0;
  auto line = talks ? Line::talkative() : Line{};
  const bool direct = state.range(2) == 2;
  if (direct) line.traits.insert(line.traits.end(), {"--trait", "direct-times"});
  Cable cable{family, profile, detune, line};
  for (auto _ : state) {
    (void)cable.set({{1, 1000}, exposure::FNumber{80}, {100}});
    const auto step = corona_step(cable.clock.now() + 3s, lasts);
    const int reported = sets_by_rig(cable, step);
    const int ours = sets_taken(cable, step);
    const int greedy = sim::greedy_sets(
        step, sim::SimulatedBody{sim::BodySetup{profile, body::Files::raw, 1, detune, {}, 0}});
    state.counters["sets"] = ours;
    state.counters["reported"] = reported;
    state.counters["greedy"] = greedy;
    state.counters["share"] = greedy > 0 ? static_cast<double>(ours) / greedy : 0;
  }
  state.SetLabel(std::string{family} + " at " + std::to_string(state.range(1)) + "/10" +
                 (talks ? ", talkative" : "") + (direct ? ", times at once" : ""));
}
BENCHMARK(sets_against_greedy)
    ->ArgsProduct({{0, 1}, {7, 10, 13}, {0}})
    ->ArgsProduct({{0, 1, 3}, {7, 10, 13}, {1}})
    ->ArgsProduct({{3}, {7, 10, 13}, {2}})
    ->Iterations(1)
    ->Unit(benchmark::kMillisecond);

/// From the start of a worker's process until it has taken its first frame.
Duration armed_after(const Folder& folder, int run) {
  const auto socket = worker::socket_name(run);
  const auto began = posix::boot_now();
  auto process =
      posix::Process::start({"/usr/bin/env",  // a worker's own environment is bare
                             {"NOONFALL_BODIES=" + folder.path(), std::string{"IOLIBS="} + NOONFALL_DRIVERS,
                              NOONFALL_CAMERA, "--socket-dir", folder.path(), "--rig", std::to_string(run),
                              "--serial", "3012345", "--profile", folder.path("body.yaml"), "--linger", "5"},
                             folder.path("worker.home"),
                             folder.path("worker.stderr")});
  if (!process) throw std::runtime_error{to_text(process.error())};
  posix::FileDescriptor line;
  while (!line) line = posix::connect_in(folder.path(), socket);
  worker::WorkerClock clock;
  set_to_now(clock);
  order::Order order;
  order.id = 1;
  order.earliest = order.prepare_from = clock.now();
  order.frames = {{{run, 0, 1, 1}, quick, clock.now(), clock.now() + 1h}};
  for (const auto& words :
       {worker::encode(worker::ToWorker{worker::DaemonHello{}}),
        worker::encode(worker::ToWorker{clock.mapping()}), worker::encode(worker::ToWorker{order})}) {
    (void)!::send(line.get(), words.data(), words.size(), MSG_NOSIGNAL);
  }
  std::string heard;
  char piece[4096];
  while (heard.find("\"what\":\"frame\"") == std::string::npos) {
    pollfd wanted{line.get(), POLLIN, 0};
    const bool late = posix::boot_now() > began + 20s;
    if (late || ::poll(&wanted, 1, 10'000) <= 0)
      throw std::runtime_error{"no frame: " + heard.substr(0, 2000)};
    const auto got = ::recv(line.get(), piece, sizeof piece, MSG_DONTWAIT);
    if (got > 0) heard.append(piece, static_cast<std::size_t>(got));
  }
  const auto took = posix::boot_now() - began;
  process->signal(SIGKILL);  // as a driver that crashes
  ::waitpid(process->pid(), nullptr, 0);
  return took;
}

void worker_restart(benchmark::State& state) {
  const Folder folder;
  const Plugged body{folder, families[state.range(0)], instant_body()};
  state.SetLabel(families[state.range(0)]);
  std::vector<Duration> spans;
  for (auto _ : state) {
    for (int run = 0; run < 20; ++run) spans.push_back(armed_after(folder, run));
  }
  give(state, "armed", spans);
}
BENCHMARK(worker_restart)->DenseRange(0, 2)->Iterations(1)->Unit(benchmark::kMillisecond);

}  // namespace
