// What a body told of itself, as JSON, as `noonfall cameras --json` prints it. Only for .cpp files.
#pragma once

#include "daemon/cameras/body_source.h"
#include "lib/body/description.h"
#include "lib/json/json.h"

namespace noonfall::cameras {

using json::Json;

[[nodiscard]] Json to_json(const body::Description& told);
[[nodiscard]] Json to_json(const Unopened& unopened);

}  // namespace noonfall::cameras
