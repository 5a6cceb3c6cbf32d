// The program that is a camera body at the end of a pretended cable, for the real camera library to talk to.
#include <iostream>
#include <map>

#include <CLI/CLI.hpp>

#include "daemon/command_line/exit.h"
#include "daemon/command_line/parse_line.h"
#include "daemon/command_line/plain_output.h"
#include "daemon/command_line/within.h"
#include "daemon/diagnostic/log.h"
#include "daemon/wired_body/serve_body.h"

namespace {

using namespace noonfall;

void add_options(CLI::App& app, wired_body::BodyOptions& options) {
  static const std::map<std::string, body::Files> files{
      {"raw", body::Files::raw}, {"jpeg", body::Files::jpeg}, {"raw+jpeg", body::Files::raw_and_jpeg}};
  std::map<std::string, wire::Family> families;
  for (const auto& facts : wire::families) families[facts.name] = facts.family;
  auto* where = app.add_option_group("where", "Where its hosts find it")->require_option(1);
  where->add_option("--bus-dir", options.bus_folder,
                    "On USB: the folder that NOONFALL_BODIES names for its hosts");
  where->add_option("--network-port", options.network_port, "By PTP/IP: a port of 127.0.0.1");
  app.add_option("--name", options.name, "Tells the bodies of one folder apart")->capture_default_str();
  app.add_option("--bus", options.bus, "The number of its USB bus")->check(CLI::Range(1, 999));
  app.add_option("--family", options.identity.family, "What it speaks beside the standard")
      ->transform(CLI::CheckedTransformer(families));
  app.add_option("--trait", options.traits,
                 "What it does as one real body does: NAME or NAME=VALUE, several times if need be");
  app.add_option("--model", options.identity.model, "The name it gives itself")->capture_default_str();
  app.add_option("--serial", options.identity.serial, "Its serial number")->capture_default_str();
  app.add_option("--simulate", options.camera.profile, "A body profile: the name of a shipped one, or a file")
      ->required();
  app.add_option("--files", options.camera.traits.files, "What a frame leaves: raw, jpeg or raw+jpeg")
      ->transform(CLI::CheckedTransformer(files));
  app.add_option("--seed", options.camera.traits.seed, "The luck of the simulated body");
  app.add_option("--detune", options.camera.traits.detune,
                 "The body's own times over its profile's: 1.3 is slower than measured")
      ->check(command_line::within(0.7, 1.3));
  app.add_option("--transaction", options.transaction_ms,
                 "Milliseconds the body takes at least to answer anything (default 1)")
      ->check(command_line::within(0, 10'000));
  app.add_option("--faults", options.camera.faults,
                 "A fault script (YAML) of one rig, its instants absolute");
  app.add_option("--line-faults", options.line_faults, "A script (YAML) of what goes wrong on its cable");
  app.add_option("--linger", options.linger_s, "Seconds to wait on USB for a host before it ends by itself")
      ->check(command_line::within(1, 86'400));
  app.add_option("--sky", options.sky, "What its small pictures show (JSON, as noonfalld writes it)");
  app.add_option("--record", options.camera.record,
                 "Append each picture really taken to this file, and go on from it");
  diagnostic::add_level_option(app);
}

int run(int argc, char** argv) {
  CLI::App app{"noonfall-body is a simulated camera body on a pretended USB, or on this machine's network."};
  command_line::introduce(app, "noonfall-body");
  wired_body::BodyOptions options;
  add_options(app, options);
  if (const auto exit = command_line::parse_line(app, argc, argv)) return *exit;
  return wired_body::serve_body(std::move(options));
}

}  // namespace

int main(int argc, char** argv) {
  diagnostic::begin("noonfall-body");
  const command_line::PlainOutput plain_err{std::cerr};
  try {
    return run(argc, argv);
  } catch (const std::exception& error) {
    spdlog::critical("{}", error.what());
    return static_cast<int>(command_line::Exit::environment);
  }
}
