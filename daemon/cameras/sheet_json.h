// A body's sheet as JSON, as `noonfall cameras --json` prints it. Only for .cpp files.
#pragma once

#include "daemon/cameras/body_source.h"
#include "lib/body/sheet.h"
#include "lib/json/json.h"

namespace noonfall::cameras {

using json::Json;

[[nodiscard]] Json to_json(const body::BodySheet& sheet);
[[nodiscard]] Json to_json(const Unopened& unopened);

}  // namespace noonfall::cameras
