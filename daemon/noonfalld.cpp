// The daemon for the day: shoots a plan in real time, or on simulated bodies.
#include <algorithm>
#include <csignal>
#include <iostream>

#include <sys/resource.h>
#include <unistd.h>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <CLI/CLI.hpp>

#include "daemon/clock/read_clocks.h"
#include "daemon/command_line/parse_line.h"
#include "daemon/command_line/plain_output.h"
#include "daemon/command_line/within.h"
#include "daemon/diagnostic/log.h"
#include "daemon/event_loop/event_loop.h"
#include "daemon/load/leap_second_file.h"
#include "daemon/load/limb_data.h"
#include "daemon/load/time_zone.h"
#include "daemon/operator/tell.h"
#include "daemon/page/page_address.h"
#include "daemon/posix/process.h"
#include "daemon/preflight/gather.h"
#include "daemon/service/inhibitor.h"
#include "daemon/start/open_run.h"
#include "lib/base/plain_text.h"
#include "lib/time/utc_text.h"

namespace {

using namespace noonfall;

struct CommandLine {
  start::RunRequest run;
  std::string simulate;  // what kind of body, or nothing
  std::string voice;
  std::string voice_command;
  event_loop::VoiceOptions speaks;
  int voice_delay_ms = 0;
  bool preflight = false;
  std::string page = page::usual_address;
  std::string broker;  // empty: none
  bool telling = false;
  std::vector<std::string> tell;
};

/// Everything behind --tell is the operator's, "-1" of a trim among it.
std::vector<std::string> take_told_words(std::vector<std::string>& arguments) {
  const auto tell = std::find(arguments.begin(), arguments.end(), "--tell");
  if (tell == arguments.end()) return {};
  const auto end =
      std::find_if(tell + 1, arguments.end(), [](const auto& word) { return word.starts_with("--"); });
  std::vector<std::string> words(tell + 1, end);
  arguments.erase(tell + 1, end);
  return words;
}

void add_options(CLI::App& app, CommandLine& line) {
  auto& run = line.run;
  app.add_option("PLAN", run.plan, "A plan (YAML); may be left out where --state has a run");
  app.add_flag(
         "--simulate{body}", line.simulate,
         "Shoot on simulated bodies; with =wire by the real camera library, which finds them on its USB")
      ->check(CLI::IsMember({"body", "wire"}));
  app.add_option("--move", run.move, "Rehearse now: C2=+5min, or C2=2026-07-01T20:00:00Z");
  app.add_option("--speed", run.speed, "Let simulated time go that much faster")
      ->check(command_line::within(0.1, 1000))
      ->needs("--simulate");
  app.add_option("--state", run.state, "The run's folder; else one of its own below ~/.local/state/noonfall");
  app.add_flag("--amend", run.amend, "Go on with a plan, site or body that has changed");
  app.add_flag("--afresh", run.afresh, "Put a rehearsal that is there aside and begin another");
  app.add_option("--bodies", run.bodies, "A folder of further body profiles");
  load::add_limb_options(app, run.limb);
  app.add_option("--seed", run.seed, "The luck of the simulated bodies")
      ->check(CLI::NonNegativeNumber)
      ->needs("--simulate");
  app.add_option("--detune", run.detune, "The simulated bodies' own times over their profiles'")
      ->check(command_line::within(0.7, 1.3))
      ->needs("--simulate");
  app.add_option("--faults", run.faults, "A fault script (YAML) for the simulated bodies")
      ->needs("--simulate");
  app.add_flag("--preflight", line.preflight,
               "Look at clock, site, power, disk, voice and cameras, say what is wrong, and shoot nothing");
  app.add_option("--voice", line.voice,
                 "Speak the cues: sound (else, on simulated bodies: none), none, or command")
      ->check(CLI::IsMember({"none", "sound", "command"}));
  app.add_option("--voice-command", line.voice_command,
                 "With --voice command: a program and its arguments, by spaces; the words come behind them");
  app.add_option("--voice-device", line.speaks.device, "The sound output, as ALSA names it")
      ->capture_default_str();
  app.add_option("--voice-delay", line.voice_delay_ms, "Milliseconds by which the loudspeaker is late")
      ->check(CLI::Range(0, 2000));
  app.add_option("--power-command", run.power_command,
                 "A program and its arguments, by spaces, that switches a body off and on; rig and serial "
                 "number come behind them; else what /etc/noonfall/power says");
  app.add_option("--page", line.page, "Where the watch page is served, or none")
      ->type_name("[ADDRESS:PORT]|none")
      ->expected(0, 1)
      ->capture_default_str();
  app.add_option("--publish", line.broker, "Publish the run's state to an MQTT broker, for watching only")
      ->type_name("mqtt://HOST[:PORT]");
  diagnostic::add_level_option(app);
  app.add_flag("--tell", line.telling,
               "Tell the running daemon: hold RIG, resume RIG, trim RIG -1 stop, skip STEP, filter RIG on, "
               "filter RIG off, clock ok, stop, help");
}

/// What is wrong with it, if anything.
std::string why_not(CommandLine& line) {
  auto& speaks = line.speaks;
  if (!line.voice.empty()) speaks.speaks = line.voice != "none";
  speaks.delay = std::chrono::milliseconds{line.voice_delay_ms};
  if (line.voice == "command") {
    speaks.command = posix::parse_argv(line.voice_command);
    if (speaks.command.empty())
      return "--voice command needs --voice-command with a program's whole path, like '/usr/bin/spd-say -w'";
  }
  if (!line.run.power_command.empty() && posix::parse_argv(line.run.power_command).empty())
    return "--power-command needs a program's whole path, like '/usr/local/bin/usb-power cycle'";
  if (speaks.speaks.value_or(false) && line.run.speed && *line.run.speed != 1)
    return "nobody speaks faster than the day: --voice none with --speed";
  return {};
}

/// Where else than here the run is shown.
struct Shown {
  std::optional<page::PageAddress> page;
  std::optional<publish::Broker> broker;
};

Result<Shown> shown_by(const CommandLine& line) {
  Shown shown;
  auto page = page::parse_page_address(line.page.empty() ? page::usual_address : line.page);
  if (!page) return fail(std::move(page.error()));
  shown.page = std::move(*page);
  if (line.broker.empty()) return shown;
  auto broker = publish::parse_broker(line.broker);
  if (!broker) return fail(std::move(broker.error()));
  shown.broker = std::move(*broker);
  return shown;
}

/// Whether the plan is done.
bool run_live(start::OpenedRun opened, event_loop::LoopSettings settings) {
  settings.programs = {posix::program_beside("noonfall-camera"), posix::program_beside("noonfall-body"),
                       posix::program_beside("port-drivers"), posix::library_variables()};
  settings.boot_id = clock::boot_id();
  settings.built = *parse_utc(NOONFALL_BUILT "T00:00:00Z");
  settings.local_clock = load::local_clock(opened.timeline.zone);
  return event_loop::EventLoop{std::move(opened), std::move(settings)}.run();
}

bool asked_whether_heard() {
  std::cout << "Was \"noonfall\" heard just now? [y/n] " << std::flush;
  std::string answer;
  return std::getline(std::cin, answer) && (answer == "y" || answer == "yes");
}

preflight::Surroundings around(const start::OpenedRun& run, const CommandLine& line) {
  preflight::Surroundings around;
  around.camera = posix::program_beside("noonfall-camera");
  around.leap_seconds = line.run.leap_seconds;
  const bool speaks = line.speaks.speaks.value_or(true) && line.speaks.command.empty();
  if (speaks && !run.before) around.voice_device = line.speaks.device;
  around.voice_delay = line.speaks.delay;
  around.bodies = !run.before;
  return around;
}

int look_only(const start::OpenedRun& run, const CommandLine& line) {
  auto with = around(run, line);
  if (::isatty(STDIN_FILENO) == 1) with.heard = asked_whether_heard;
  const auto items = preflight::look_around(run, with);
  for (const auto& item : items) std::cout << to_text(item) << '\n';
  const bool failed = std::any_of(items.begin(), items.end(), [](const preflight::Item& item) {
    return item.verdict == preflight::Verdict::fail;
  });
  return static_cast<int>(failed ? command_line::Exit::environment : command_line::Exit::done);
}

/// Looking around takes seconds that a frame may need.
bool has_time(const timeline::Timeline& timeline, Utc now) {
  constexpr Duration near = std::chrono::minutes{2};
  return std::none_of(timeline.rigs.begin(), timeline.rigs.end(), [&](const timeline::RigTimeline& rig) {
    return std::any_of(rig.steps.begin(), rig.steps.end(), [&](const timeline::RigStep& step) {
      return step.from < now + near && step.until > now;
    });
  });
}

/// What fails is said, and stops nothing: nobody may be there. The lock is against sleep.
posix::FileDescriptor make_sure(start::OpenedRun& run, const CommandLine& line, Utc now) {
  if (run.settings.mode == shotlog::Mode::simulated) return {};
  if (has_time(run.timeline, now)) {
    for (const auto& item : preflight::look_around(run, around(run, line))) {
      if (item.verdict == preflight::Verdict::pass) continue;
      run.notes.push_back(fmt::format("{}preflight, {}: {}; to do: {}",
                                      item.verdict == preflight::Verdict::fail ? "ALARM " : "", item.name,
                                      item.words, item.remedy));
    }
  }
  auto lock = service::keep_awake();
  if (lock) return std::move(*lock);
  run.notes.push_back(on_one_line(lock.error().front()));
  return {};
}

int shoot(CommandLine line, Shown shown) {
  const auto now = clock::read_clocks().realtime;
  auto opening = start::open_run(line.run, now);
  diagnostic::tell(opening.findings);
  if (!opening.done.empty()) std::cout << opening.done << '\n';
  if (!opening.run) return static_cast<int>(opening.exit);
  auto& run = *opening.run;
  if (line.preflight) return look_only(run, line);
  const auto folder = plain_line(run.folder->path());
  spdlog::info("{}'s log is at level {}", folder, diagnostic::level());
  std::cout << fmt::format("{}: {}\n", run.before ? "Going on with the run in" : "The run is kept in", folder)
            << std::flush;
  const auto awake = make_sure(run, line, now);
  event_loop::LoopSettings settings;
  settings.voice = std::move(line.speaks);
  settings.page = std::move(shown.page);
  settings.broker = std::move(shown.broker);
  settings.power_command = std::move(run.power_command);
  const bool done = run_live(std::move(run), std::move(settings));
  std::cout << (done ? fmt::format("What became of it: noonfall report {}/{}\n", folder,
                                   journal::shot_log_name)
                     : fmt::format("To go on with it: noonfalld --state {}\n", folder))
            << std::flush;
  return static_cast<int>(command_line::Exit::done);
}

int obey(std::vector<std::string> arguments) {
  CLI::App app{
      "noonfalld shoots a plan on the day, rehearses it in real time, and takes an operator's words.",
      "noonfalld"};
  command_line::introduce(app, "noonfalld", load::data_versions);
  CommandLine line;
  add_options(app, line);
  line.tell = take_told_words(arguments);
  try {
    std::reverse(arguments.begin(), arguments.end());  // as CLI11 wants them
    app.parse(std::move(arguments));
  } catch (const CLI::ParseError& error) {
    const int code = app.exit(error);
    return code == 0 ? 0 : static_cast<int>(command_line::Exit::bad_command_line);
  }
  if (line.telling)
    return control::tell_and_print(line.run.state, fmt::format("{}", fmt::join(line.tell, " ")), std::cout,
                                   std::cerr);
  auto shown = shown_by(line);
  if (!shown) {
    std::cerr << to_text(shown.error());
    return static_cast<int>(command_line::Exit::bad_command_line);
  }
  line.run.simulate = !line.simulate.empty();
  line.run.wire = line.simulate == "wire";
#ifdef NOONFALL_GPHOTO
  line.run.can_drive = true;
#endif
  line.run.leap_seconds = load::newest_leap_seconds();
  if (const auto wrong = why_not(line); !wrong.empty()) {
    std::cerr << "noonfalld: " << wrong << '\n';
    return static_cast<int>(command_line::Exit::bad_command_line);
  }
  return shoot(std::move(line), std::move(*shown));
}

/// As many descriptors as the system lets us have: a rig needs some, and each client of ours.
void allow_descriptors() {
  rlimit limit{};
  if (::getrlimit(RLIMIT_NOFILE, &limit) != 0) return;
  limit.rlim_cur = limit.rlim_max;
  ::setrlimit(RLIMIT_NOFILE, &limit);
}

}  // namespace

int main(int argc, char** argv) {
  diagnostic::begin("noonfalld");
  const command_line::PlainOutput plain_out{std::cout};
  const command_line::PlainOutput plain_err{std::cerr};
  std::signal(SIGPIPE, SIG_IGN);
  std::signal(SIGXFSZ, SIG_IGN);  // a limit on files is a full disk, not an end
  allow_descriptors();
  try {
    return obey({argv + 1, argv + argc});
  } catch (const std::exception& error) {
    spdlog::critical("{}", error.what());
    return static_cast<int>(command_line::Exit::environment);
  }
}
