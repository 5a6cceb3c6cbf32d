// How a run was asked for, kept beside its log so that a restart goes on with the same run.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "lib/base/result.h"
#include "lib/shotlog/line.h"

namespace noonfall::journal {

enum class Bodies {
  real,
  simulated,  // in the worker
  wire,       // behind the real camera library
};
[[nodiscard]] std::string_view to_text(Bodies bodies);

struct RunSettings {
  shotlog::Mode mode = shotlog::Mode::event;
  Bodies bodies = Bodies::real;
  Duration moved{};                   // every contact by so much
  double speed = 1;                   // plan time over real time
  std::optional<std::uint64_t> seed;  // of simulated bodies
  double detune = 1;                  // what their own times are multiplied by
  std::string plan;                   // its path as given
  bool faults = false;                // faults.yaml lies in the folder
  std::string limb_data = {};         // the strip behind the contacts, its whole path; empty: the mean limb
  bool operator==(const RunSettings&) const = default;
};

/// One JSON object, indented, ended by '\n'. `plan` that isn't UTF-8 has its bad bytes replaced.
[[nodiscard]] std::string to_json_text(const RunSettings& settings);

/// The reverse. Every member but "limb_data" must be there and no other; every error (code "run-settings") is
/// reported.
[[nodiscard]] Result<RunSettings> parse_run_settings(std::string_view text);

}  // namespace noonfall::journal
