// The program that serves one camera body: started by noonfalld, one process a rig.
#include <iostream>
#include <map>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "daemon/cameras/inspection_program.h"
#include "daemon/command_line/exit.h"
#include "daemon/command_line/parse_line.h"
#include "daemon/command_line/plain_output.h"
#include "daemon/command_line/within.h"
#include "daemon/diagnostic/log.h"
#include "daemon/pictures/small_jpeg.h"
#include "daemon/pictures/thumbnail.h"
#include "daemon/worker/serve.h"
#ifdef NOONFALL_GPHOTO
#include "daemon/gphoto/on_cables.h"
#endif

namespace {

using namespace noonfall;

void add_options(CLI::App& app, worker::CameraOptions& options, std::string& sky) {
  static const std::map<std::string, body::Files> files{
      {"raw", body::Files::raw}, {"jpeg", body::Files::jpeg}, {"raw+jpeg", body::Files::raw_and_jpeg}};
  app.add_option("--socket-dir", options.socket_folder, "The folder of the socket a daemon talks to")
      ->required();
  app.add_option("--rig", options.rig, "The rig's index in the timeline, from 0")
      ->check(CLI::Range(0, 999))
      ->required();
  auto* body = app.add_option_group("body", "Which body it is")->require_option(1);
  auto* simulate =
      body->add_option("--simulate", options.profile,
                       "A simulated one of this body profile: the name of a shipped one, or a file");
  auto* serial =
      body->add_option("--serial", options.serial, "The one on a cable that has this serial number");
  serial->excludes(simulate);
  app.add_option("--spare", options.spare, "The one that takes its place when it stays away")->needs(serial);
  auto* profile =
      app.add_option("--profile", options.profile, "What was measured of it: a profile's name, or a file");
  serial->needs(profile);
  profile->needs(serial);
  app.add_option("--files", options.traits.files, "What a frame leaves on the card: raw, jpeg or raw+jpeg")
      ->transform(CLI::CheckedTransformer(files));
  app.add_option("--seed", options.traits.seed, "The luck of the simulated body");
  app.add_option("--detune", options.traits.detune,
                 "The body's own times over its profile's: 1.3 is slower than measured")
      ->check(command_line::within(0.7, 1.3));
  app.add_option("--faults", options.faults, "A fault script (YAML) of this rig, its instants absolute");
  app.add_option("--record", options.record,
                 "Append each picture really taken to this file, and go on from it");
  app.add_option("--sky", sky,
                 "What small pictures of the simulated body show (JSON, as noonfalld writes it)")
      ->excludes(serial);
  app.add_option("--lock", options.lock, "Hold a lock on this file: one worker a body");
  app.add_option("--linger", options.linger_s, "Seconds to wait, idle, for a daemon to come back")
      ->check(command_line::within(0, 86'400))
      ->capture_default_str();
  diagnostic::add_level_option(app);
}

cameras::RealBodies real_bodies() {
#ifdef NOONFALL_GPHOTO
  return gphoto::bodies_on_cables;
#else
  return {};
#endif
}

worker::MakeCabled cabled_bodies() {
#ifdef NOONFALL_GPHOTO
  return [](const worker::CameraOptions& options, const body::Profile& profile, worker::WorkerClock& clock,
            const worker::StopSignal& stop) -> std::unique_ptr<rig::Camera> {
    const auto pictures = fmt::format("{}/rig-{}.pictures", options.socket_folder, options.rig);
    return gphoto::camera_on_cable({options.serial, profile, options.traits.files,
                                    std::make_shared<gphoto::RunPictures>(pictures), options.spare},
                                   clock, stop);
  };
#else
  return {};
#endif
}

int serve_one(int argc, char** argv) {
  CLI::App app{"noonfall-camera serves one camera body to noonfalld."};
  command_line::introduce(app, "noonfall-camera");
  worker::CameraOptions options;
  std::string sky;
  add_options(app, options, sky);
  if (const auto exit = command_line::parse_line(app, argc, argv)) return *exit;
  worker::Eyes eyes;
  eyes.see = [](const std::string& jpeg) -> std::optional<look::SunSeen> {
    const auto thumbnail = pictures::read_thumbnail(jpeg);
    return thumbnail ? std::optional{look::see(*thumbnail)} : std::nullopt;
  };
  eyes.draw = pictures::drawn_by(sky);
  return worker::serve(options, cabled_bodies(), eyes);
}

}  // namespace

int main(int argc, char** argv) {
  diagnostic::begin("noonfall-camera");
  const command_line::PlainOutput plain_err{std::cerr};
  try {
    if (cameras::asks_for_inspection(argc, argv)) return cameras::run_inspection(argc, argv, real_bodies());
    return serve_one(argc, argv);
  } catch (const std::exception& error) {
    spdlog::critical("{}", error.what());
    return static_cast<int>(command_line::Exit::environment);
  }
}
