#include "daemon/journal/run_settings.h"

#include "lib/json/encodings.h"

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

}  // namespace noonfall::journal
