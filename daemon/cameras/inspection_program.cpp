#include "daemon/cameras/inspection_program.h"

#include <algorithm>
#include <atomic>
#include <csignal>
#include <iostream>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include <CLI/CLI.hpp>

#include "daemon/cameras/inspect.h"
#include "daemon/cameras/simulated_source.h"
#include "daemon/command_line/exit.h"
#include "daemon/command_line/parse_line.h"
#include "daemon/command_line/within.h"
#include "daemon/worker/camera_options.h"

namespace noonfall::cameras {
namespace {

using namespace std::chrono_literals;

constexpr std::string_view modes[] = {"--list", "--measure", "--try"};

// A signal handler reaches nothing else.
std::atomic<bool> told_to_stop = false;
static_assert(std::atomic<bool>::is_always_lock_free);

struct Options {
  bool list = false;
  std::string measure;
  std::string try_on;
  std::string name = "measured";
  double grace_s = 5;
  worker::CameraOptions body;
};

void add_options(CLI::App& app, Options& options) {
  static const std::map<std::string, body::Files> files{
      {"raw", body::Files::raw}, {"jpeg", body::Files::jpeg}, {"raw+jpeg", body::Files::raw_and_jpeg}};
  auto* mode = app.add_option_group("mode")->require_option(1);
  mode->add_flag("--list", options.list, "Say every body's description");
  mode->add_option("--measure", options.measure, "Measure the body of this serial number");
  mode->add_option("--try", options.try_on, "Try the settings on stdin, one a line, on the body");
  app.add_option("--name", options.name, "What the measured profile is called");
  app.add_option("--grace", options.grace_s, "Seconds between the announcement and the first frame")
      ->check(command_line::within(0, 60));
  app.add_option("--simulate", options.body.profile, "A simulated body in virtual time");
  app.add_option("--files", options.body.traits.files, "What a frame of it leaves")
      ->transform(CLI::CheckedTransformer(files));
  app.add_option("--seed", options.body.traits.seed, "Its luck");
  app.add_option("--detune", options.body.traits.detune, "Its own times over its profile's")
      ->check(command_line::within(0.7, 1.3));
  app.add_option("--faults", options.body.faults, "A fault script of it");
}

void end_in_good_order() {
  const auto stop = [](int) { told_to_stop = true; };
  std::signal(SIGTERM, stop);
  std::signal(SIGINT, stop);
  std::signal(SIGHUP, stop);
  std::signal(SIGPIPE, SIG_IGN);
}

Line stdout_line() {
  return {[](const Said& said) { std::cout << encode(said) << std::flush; },
          [] { return told_to_stop || !std::cout; }};
}

Result<std::unique_ptr<BodySource>> source_of(const Options& options, const RealBodies& real_bodies) {
  if (!options.body.profile.empty()) {
    auto setup = worker::body_of(options.body);
    if (!setup) return fail(std::move(setup.error()));
    return simulated_source(*setup);
  }
  if (real_bodies) return real_bodies();
  return fail(error_at({}, "no-library", "this noonfall-camera was built without the camera library",
                       "a build with libgphoto2, or --simulate PROFILE"));
}

Result<std::vector<rig::SettingsCall>> read_settings(std::istream& in) {
  std::vector<rig::SettingsCall> list;
  for (std::string line; std::getline(in, line);) {
    auto settings = decode_settings(line);
    if (!settings) return fail(std::move(settings.error()));
    list.push_back(*settings);
  }
  return list;
}

bool obey(const Options& options, BodySource& source, const Line& line) {
  if (options.list) return list_bodies(source, line);
  if (!options.measure.empty())
    return measure_body(source, options.measure, options.name, from_seconds(options.grace_s), line);
  const auto wanted = read_settings(std::cin);
  if (wanted) return try_settings(source, options.try_on, *wanted, line);
  line.say(InspectionFailure{wanted.error().front().code, wanted.error().front().message, {}});
  return false;
}

}  // namespace

bool asks_for_inspection(int argc, const char* const* argv) {
  return std::any_of(argv, argv + argc, [](std::string_view word) {
    return std::ranges::count(modes, word.substr(0, word.find('='))) > 0;
  });
}

int run_inspection(int argc, char** argv, const RealBodies& real_bodies) {
  CLI::App app{"noonfall-camera --list, --measure or --try inspects bodies for noonfall cameras."};
  Options options;
  add_options(app, options);
  if (const auto exit = command_line::parse_line(app, argc, argv)) return *exit;
  end_in_good_order();
  const auto line = stdout_line();
  const auto source = source_of(options, real_bodies);
  if (!source) {
    const auto& first = source.error().front();
    line.say(InspectionFailure{first.code, first.message, first.hint});
    return static_cast<int>(command_line::Exit::environment);
  }
  return static_cast<int>(obey(options, **source, line) ? command_line::Exit::done
                                                        : command_line::Exit::environment);
}

}  // namespace noonfall::cameras
