#include "daemon/preflight/gather.h"

#include <algorithm>
#include <condition_variable>
#include <filesystem>
#include <mutex>
#include <system_error>

#include <boost/asio/io_context.hpp>

#include "daemon/cameras/camera_process.h"
#include "daemon/clock/clock_watch.h"
#include "daemon/posix/boot_time.h"
#include "daemon/posix/text_file.h"
#include "daemon/service/inhibitor.h"
#include "daemon/voice/alsa_sink.h"
#include "daemon/voice/voice.h"
#include "lib/base/number.h"
#include "lib/body/model.h"

namespace noonfall::preflight {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;

/// Of a file of the kernel, without its line's end.
std::string word_in(const fs::path& path) {
  auto text = posix::read_text_file(path.string(), 4096).value_or("");
  while (!text.empty() && (text.back() == '\n' || text.back() == ' ')) text.pop_back();
  return text;
}

void look_at_clock(const start::OpenedRun& run, const LeapSeconds& leap_seconds, Items& items) {
  boost::asio::io_context io{1};
  clock::ClockWatch clock{io, {}, [](const run::ClockChange&, const ClockMapping&) {}};
  clock.start();
  const auto until = posix::boot_now() + 5s;
  const auto settled = [&] {
    return clock.state().grade == shotlog::ClockGrade::a && clock.position().has_value();
  };
  while (posix::boot_now() < until && !settled()) io.run_for(100ms);
  items.push_back(judge_clock(clock.state(), clock.source_words()));
  items.push_back(judge_site(run.timeline.circumstances, leap_seconds, clock.position()));
}

Item judge_awake() {
  const auto lock = service::keep_awake();
  if (lock) return {"awake", Verdict::pass, "sleep, idling and the lid can be held off", {}};
  return {"awake", Verdict::warn, lock.error().front().message, lock.error().front().hint};
}

Item judge_folder(const journal::RunFolder& folder) {
  const auto written = folder.write_atomically("preflight", "a file that can be written\n");
  std::error_code ignored;
  fs::remove(fs::path{folder.path()} / "preflight", ignored);
  if (written) return {"log", Verdict::pass, "the run's folder can be written", {}};
  return {"log", Verdict::fail, written.error().front().message, written.error().front().hint};
}

/// The news of one word.
class Said {
 public:
  void take(const run::Input& input) {
    const std::scoped_lock lock{mutex_};
    if (const auto* voiced = std::get_if<run::Voiced>(&input)) why_not_ = voiced->why_not;
    changed_.notify_all();
  }
  /// Why it wasn't played; empty when it was.
  std::string wait() {
    std::unique_lock lock{mutex_};
    changed_.wait_for(lock, 10s, [&] { return why_not_.has_value(); });
    return why_not_.value_or("the sound output doesn't answer");
  }

 private:
  std::mutex mutex_;
  std::condition_variable changed_;
  std::optional<std::string> why_not_;
};

Item judge_voice(const start::OpenedRun& run, const Surroundings& around) {
  constexpr const char* remedy =
      "espeak-ng installed, the loudspeaker on and loud, --voice-device the right one";
  Said said;
  voice::Voice voice{{.folder = run.folder->path() + "/voice",
                      .language = run.timeline.language,
                      .sink = voice::alsa_sink(around.voice_device),
                      .delay = around.voice_delay},
                     [&](const run::Input& news) { said.take(news); }};
  const auto ends = posix::boot_now() + 3s;
  voice.say({.words = "noonfall", .ends = {}, .ends_at = ends, .expires_at = BootTime::max(), .first = true});
  if (const auto why = said.wait(); !why.empty()) return {"voice", Verdict::fail, why, remedy};
  if (!around.heard) return {"voice", Verdict::warn, "played; nobody was asked whether it was heard", remedy};
  if (!around.heard()) return {"voice", Verdict::fail, "played, and not heard", remedy};
  return {"voice", Verdict::pass, "heard", {}};
}

void look_at_bodies(const start::OpenedRun& run, const std::string& camera, Items& items) {
  std::vector<body::Description> all_told;
  std::string why;
  const auto ran = cameras::run_camera({.executable = camera, .arguments = {"--list"}, .patience = 20s},
                                       [&](const cameras::Said& said) {
                                         if (const auto* told = std::get_if<body::Description>(&said))
                                           all_told.push_back(*told);
                                       });
  if (!ran) why = ran.error().front().message;
  for (std::size_t n = 0; n < run.timeline.rigs.size(); ++n) {
    const auto& rig = run.timeline.rigs[n];
    if (rig.by_hand) continue;
    const auto found = std::find_if(all_told.begin(), all_told.end(),
                                    [&](const auto& told) { return told.serial == run.serials[n]; });
    const auto told = found == all_told.end() ? std::nullopt : std::optional{*found};
    const body::Demand demand{rig.files,
                              {rig.predicted_frames() * body::frame_size(rig.profile, rig.files).value}};
    const auto judged = judge_body(rig.name, told, why, demand);
    items.insert(items.end(), judged.begin(), judged.end());
  }
}

}  // namespace

Power read_power(const std::string& root) {
  Power power;
  std::error_code ignored;
  for (const auto& entry : fs::directory_iterator{root + "/sys/class/power_supply", ignored}) {
    const auto type = word_in(entry.path() / "type");
    if (type == "Mains") power.mains = power.mains.value_or(false) || word_in(entry.path() / "online") == "1";
    const auto charge = parse_integer(word_in(entry.path() / "capacity"));
    if (type == "Battery" && word_in(entry.path() / "scope") != "Device" && charge)
      power.battery_percent = static_cast<int>(*charge);
  }
  for (const auto& entry : fs::directory_iterator{root + "/proc/acpi/button/lid", ignored})
    power.lid_open = word_in(entry.path() / "state").find("open") != std::string::npos;
  return power;
}

Items look_around(const start::OpenedRun& run, const Surroundings& around) {
  Items items;
  look_at_clock(run, around.leap_seconds, items);
  items.push_back(judge_power(read_power()));
  items.push_back(judge_awake());
  std::error_code failed;
  const auto room = fs::space(run.folder->path(), failed);
  if (!failed) items.push_back(judge_room({static_cast<double>(room.available) / 1e6}));
  items.push_back(judge_folder(*run.folder));
  if (!around.voice_device.empty()) items.push_back(judge_voice(run, around));
  if (around.bodies && run.settings.bodies == journal::Bodies::real)
    look_at_bodies(run, around.camera, items);
  return items;
}

}  // namespace noonfall::preflight
