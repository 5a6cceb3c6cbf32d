// A simulated body's own small pictures.
#pragma once

#include <memory>
#include <string>

#include "sim/sky/day.h"

namespace noonfall::pictures {

/// Of the file a daemon wrote. None without one: such a body has no small pictures.
[[nodiscard]] std::shared_ptr<const sim::Sketcher> sketcher_of(const std::string& path);

[[nodiscard]] std::string small_jpeg(const sim::Sketcher& sketcher, Utc opened, Utc closed,
                                     const exposure::Exposure& exposure);

}  // namespace noonfall::pictures
