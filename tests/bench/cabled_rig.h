// Bodies at the end of a cable, as processes, for measuring what our side of the cable costs.
#pragma once

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <memory>
#include <optional>
#include <sstream>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

#include <signal.h>
#include <sys/wait.h>

#include <benchmark/benchmark.h>

#include "daemon/gphoto/on_cables.h"
#include "daemon/posix/boot_time.h"
#include "daemon/posix/process.h"
#include "daemon/posix/unix_socket.h"
#include "daemon/worker/body_record.h"
#include "lib/body/profile_text.h"
#include "lib/exposure/scale.h"

namespace noonfall::bench {

using namespace std::chrono_literals;

/// Nothing of its own but the cable: what remains is the library and us.
inline body::Profile instant_body() {
  body::Profile profile;
  profile.name = "instant";
  const auto shutters = exposure::third_stop_shutters();
  for (const auto shutter : shutters) {
    if (exposure::nominal_seconds(shutter) >= 1.0 / 8000 && exposure::nominal_seconds(shutter) <= 1)
      profile.choices.shutters.push_back(shutter);
  }
  profile.choices.isos = {{100}, {200}, {400}, {800}};
  profile.setting_times = {0us, 0us, 0us, 0us};
  profile.release = {0us, 0us};
  profile.single = {{125us, 1ms}};
  profile.continuous = {{125us, 1ms}};
  profile.readout = 0us;
  profile.buffer = {100'000};
  profile.write_rate = {100'000};
  profile.files = {{0.5}, {0.2}};
  profile.shutter_types = {body::ShutterType::electronic};
  profile.battery_frames = 1'000'000;
  profile.card = {1'000'000};
  return profile;
}

class Folder {
 public:
  Folder() {
    auto pattern = (std::filesystem::temp_directory_path() / "noonfall-bench-XXXXXX").string();
    if (mkdtemp(pattern.data()) == nullptr) throw std::runtime_error{"no temporary folder"};
    path_ = pattern;
    ::setenv("NOONFALL_BODIES", path_.c_str(), 1);
    ::setenv("IOLIBS", NOONFALL_DRIVERS, 1);
    ::setenv("HOME", path_.c_str(), 1);
    ::setenv("LC_ALL", "C", 1);
  }
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  [[nodiscard]] std::string path(const std::string& name) const { return path_ + "/" + name; }
  [[nodiscard]] const std::string& path() const { return path_; }

 private:
  std::string path_;
};

/// How a body talks: nothing of its own, or as real ones were told of.
struct Line {
  const char* transaction = "0";
  std::vector<std::string> traits = {};

  /// 3 ms a transaction, 40 news a frame and 250 at opening.
  [[nodiscard]] static Line talkative() {
    return {"3", {"--trait", "news-after-frame=40", "--trait", "news-at-opening=250"}};
  }
};

/// noonfall-body; pulled off with this.
class Plugged {
 public:
  Plugged(const Folder& folder, const std::string& family, const body::Profile& profile, double detune = 1,
          const Line& line = {})
      : folder_{folder} {
    const auto file = folder.path("body.yaml");
    std::ofstream{file} << body::to_text(profile);
    std::vector<std::string> words{"--bus-dir",     folder.path(),
                                   "--name",        "one",
                                   "--family",      family,
                                   "--simulate",    file,
                                   "--serial",      "3012345",
                                   "--record",      folder.path("one.record"),
                                   "--detune",      std::to_string(detune),
                                   "--transaction", line.transaction};
    words.insert(words.end(), line.traits.begin(), line.traits.end());
    auto process = posix::Process::start(
        {NOONFALL_BODY, std::move(words), folder.path("body.home"), folder.path("body.stderr")});
    if (!process) throw std::runtime_error{to_text(process.error())};
    process_.emplace(std::move(*process));
    for (int tries = 0; tries < 1000; ++tries) {
      if (posix::connect_in(folder.path(), "one.body", posix::SocketKind::datagrams).is_open()) return;
      std::this_thread::sleep_for(10ms);
    }
    throw std::runtime_error{"the body doesn't listen"};
  }
  ~Plugged() {
    process_->signal(SIGKILL);
    ::waitpid(process_->pid(), nullptr, 0);
    std::error_code ignored;
    std::filesystem::remove(folder_.path("one.body"), ignored);
  }
  Plugged(const Plugged&) = delete;
  Plugged& operator=(const Plugged&) = delete;

  [[nodiscard]] std::vector<sim::RecordedFrame> taken() const {
    std::ifstream file{folder_.path("one.record")};
    std::ostringstream text;
    text << file.rdbuf();
    return worker::read_record(text.str());
  }

 private:
  const Folder& folder_;
  std::optional<posix::Process> process_;
};

/// UTC as the body's own process tells it.
inline void set_to_now(worker::WorkerClock& clock) {
  clock.set(
      {posix::boot_now(), std::chrono::floor<std::chrono::microseconds>(std::chrono::system_clock::now())});
}

/// Asks until the body isn't busy.
inline rig::DeviceAnswer ask(rig::Camera& camera, worker::WorkerClock& clock, const rig::DeviceCall& call) {
  for (;;) {
    auto answer = camera.answer(call, clock.now());
    if (answer.answer != rig::Answer::busy) return answer;
  }
}

struct Spread {
  double p50 = 0;
  double p99 = 0;
  double most = 0;
};
inline Spread spread_ms(std::vector<Duration> spans) {
  if (spans.empty()) return {};
  std::sort(spans.begin(), spans.end());
  const auto at = [&](double share) {
    return in_milliseconds(spans[static_cast<std::size_t>(share * static_cast<double>(spans.size() - 1))]);
  };
  return {at(0.5), at(0.99), at(1)};
}

inline long resident_kb() {
  std::ifstream status{"/proc/self/status"};
  for (std::string line; std::getline(status, line);) {
    if (line.starts_with("VmRSS:")) return std::atol(line.c_str() + 6);
  }
  return 0;
}

inline long open_files() {
  return std::distance(std::filesystem::directory_iterator{"/proc/self/fd"},
                       std::filesystem::directory_iterator{});
}

inline int number_from(const char* variable, int otherwise) {
  const char* text = std::getenv(variable);
  return text == nullptr ? otherwise : std::atoi(text);
}

inline const char* const families[] = {"a", "b", "generic", "sony", "fuji", "panasonic", "olympus"};

/// A body on the cable and our camera on it.
struct Cable {
  explicit Cable(const char* family, const body::Profile& shown = instant_body(), double detune = 1,
                 const Line& line = {})
      : profile{shown}, body{std::in_place, folder, family, shown, detune, line} {
    set_to_now(clock);
    camera = gphoto::camera_on_cable({"3012345", profile}, clock, stop);
  }

  rig::DeviceAnswer set(exposure::Exposure exposure) {
    return ask(*camera, clock, rig::SettingsCall{exposure, body::Drive::single});
  }
  rig::DeviceAnswer release(std::int32_t frame) {
    return ask(*camera, clock, rig::ReleaseCall{{{0, 0, 1, frame}}, Utc::max()});
  }

  Folder folder;
  body::Profile profile;
  std::optional<Plugged> body;
  worker::WorkerClock clock;
  worker::StopSignal stop;
  std::unique_ptr<gphoto::CabledCamera> camera;
};

inline const exposure::Exposure quick{{1, 1000}, std::nullopt, {100}};

inline void give(benchmark::State& state, const char* what, const std::vector<Duration>& spans) {
  const auto spread = spread_ms(spans);
  state.counters[std::string{what} + "_p50_ms"] = spread.p50;
  state.counters[std::string{what} + "_p99_ms"] = spread.p99;
  state.counters[std::string{what} + "_max_ms"] = spread.most;
}

}  // namespace noonfall::bench
