// A body's own small picture, read.
#pragma once

#include <optional>
#include <string_view>

#include "lib/look/sun_seen.h"

namespace noonfall::pictures {

/// A larger one is halved until it is at most 640 pixels wide. None for what is no whole JPEG, or one of more
/// than 4096 pixels on a side.
[[nodiscard]] std::optional<look::Thumbnail> read_thumbnail(std::string_view jpeg);

}  // namespace noonfall::pictures
