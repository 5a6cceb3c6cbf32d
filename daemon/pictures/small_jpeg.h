// A simulated body's own small pictures.
#pragma once

#include <functional>
#include <string>

#include "sim/body/simulated_body.h"
#include "sim/sky/day.h"

namespace noonfall::pictures {

[[nodiscard]] std::string small_jpeg(const sim::Sketcher& sketcher, Utc opened, Utc closed,
                                     const exposure::Exposure& exposure);

/// Of the day in a file that a daemon wrote. Empty without one: such a body has no small pictures.
[[nodiscard]] std::function<std::string(const sim::RecordedFrame&)> drawn_by(const std::string& path);

}  // namespace noonfall::pictures
