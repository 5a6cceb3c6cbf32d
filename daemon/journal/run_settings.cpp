#include "daemon/journal/run_settings.h"

#include <fmt/format.h>

#include "lib/json/encodings.h"
#include "lib/time/duration_text.h"

namespace noonfall::journal {

void fields(auto& io, json::Like<RunSettings> auto& it) {
  int version = 1;
  io("noonfall_run", version, json::Version{1, "name another folder with --state DIR"});
  io("mode", it.mode, json::Words{shotlog::Mode::simulated});
  io("bodies", it.bodies, json::Words{Bodies::wire});
  io("moved_us", it.moved, json::us);
  io("speed", it.speed, json::Number{0.001, 10'000});
  io("seed", it.seed);
  io("detune", it.detune, json::Number{0.01, 100});
  io("plan", it.plan);
  io("faults", it.faults);
  io.maybe("limb_data", it.limb_data);
}

namespace {

std::string on_or_off(bool on) {
  return on ? "on" : "off";
}

std::string seed_words(const std::optional<std::uint64_t>& seed) {
  return seed ? fmt::format("{}", *seed) : "not given";
}

}  // namespace

std::string_view to_text(Bodies bodies) {
  constexpr std::string_view words[] = {"real", "simulated", "wire"};
  return words[static_cast<std::size_t>(bodies)];
}

std::string to_json_text(const RunSettings& settings) {
  return json::to_indented(json::written(settings));
}

Result<RunSettings> parse_run_settings(std::string_view text) {
  return json::read<RunSettings>(
      text, {.code = "run-settings", .unknown = json::Unknown::refused, .most_findings = 100});
}

Diagnostics differences(const RunSettings& begun, const RunSettings& asked) {
  Diagnostics findings;
  const auto compare = [&](std::string_view what, const auto& was, const auto& is) {
    if (was == is) return;
    findings.push_back(error_at({}, "run-settings",
                                fmt::format("{} {} in this folder's run, not {}", what, was, is),
                                "the same settings, or another folder with --state DIR"));
  };
  compare("the mode is", to_text(begun.mode), to_text(asked.mode));
  compare("the bodies are", to_text(begun.bodies), to_text(asked.bodies));
  compare("the contacts are moved by", noonfall::to_text(begun.moved), noonfall::to_text(asked.moved));
  compare("the speed is", begun.speed, asked.speed);
  compare("the seed is", seed_words(begun.seed), seed_words(asked.seed));
  compare("the bodies' times are multiplied by", begun.detune, asked.detune);
  compare("the faults are", on_or_off(begun.faults), on_or_off(asked.faults));
  return findings;
}

}  // namespace noonfall::journal
