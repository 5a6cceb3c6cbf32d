// A body's sheet as JSON: in the lines of a camera process, and in what `noonfall cameras --json` prints.
// Only for .cpp files.
#pragma once

#include <nlohmann/json.hpp>

#include "daemon/cameras/body_source.h"
#include "lib/body/sheet.h"

namespace noonfall::cameras {

using Json = nlohmann::ordered_json;

[[nodiscard]] Json to_json(const body::BodySheet& sheet);
[[nodiscard]] Json to_json(const Unopened& unopened);

/// Numbers as they come from another process: of the right kind, and small enough to reckon with; else
/// std::runtime_error.
[[nodiscard]] int whole_of(const Json& json);
[[nodiscard]] double number_of(const Json& json);
[[nodiscard]] Duration span_of(const Json& json);  // seconds

/// Of what to_json wrote; throws nlohmann's exceptions and std::runtime_error for anything else.
[[nodiscard]] body::BodySheet sheet_of(const Json& json);
[[nodiscard]] Unopened unopened_of(const Json& json);

}  // namespace noonfall::cameras
